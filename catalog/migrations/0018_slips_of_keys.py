from django.db import migrations, models

from catalog.domain.lookup.pieces import slips_of

A_TIME = 1000


def derive(apps, schema_editor):
    """Keys less a character of the parts that are there already."""
    Part, PartPiece = apps.get_model('catalog', 'Part'), apps.get_model('catalog', 'PartPiece')
    last = 0
    while rows := list(Part.objects.filter(pk__gt=last).order_by('pk').only('pk', 'number_key')[:A_TIME]):
        pieces = [PartPiece(part_id=row.pk, kind='slip', text=text) for row in rows for text in slips_of(row.number_key)]
        PartPiece.objects.bulk_create(pieces, batch_size=A_TIME)
        last = rows[-1].pk


def drop(kind):
    def dropped(apps, schema_editor):
        apps.get_model('catalog', 'PartPiece').objects.filter(kind=kind).delete()

    return dropped


class Migration(migrations.Migration):

    dependencies = [
        ('catalog', '0017_as_built_media'),
    ]

    operations = [
        migrations.RunPython(drop('sign'), migrations.RunPython.noop),
        migrations.RemoveConstraint(
            model_name='partpiece',
            name='partpiece_says_what',
        ),
        migrations.AlterField(
            model_name='partpiece',
            name='kind',
            field=models.CharField(choices=[('ending', 'Ending'), ('word', 'Word'), ('slip', 'Slip')], max_length=6),
        ),
        migrations.AddConstraint(
            model_name='partpiece',
            constraint=models.CheckConstraint(condition=models.Q(('kind__in', ['ending', 'word', 'slip']), models.Q(('text', ''), _negated=True)), name='partpiece_says_what'),
        ),
        migrations.RunPython(derive, drop('slip')),
    ]
