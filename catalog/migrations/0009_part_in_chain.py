from django.db import migrations, models


def mark_named(apps, schema_editor):
    """Parts that replacements on record name already."""
    members = apps.get_model("catalog", "SupersessionMember").objects.values("part")
    apps.get_model("catalog", "Part").objects.filter(pk__in=members).update(in_chain=True)


class Migration(migrations.Migration):
    dependencies = [
        ("catalog", "0008_data_errors"),
    ]

    operations = [
        migrations.AddField(
            model_name="part",
            name="in_chain",
            field=models.BooleanField(default=False, editable=False),
        ),
        migrations.RunPython(mark_named, migrations.RunPython.noop, elidable=True),
    ]
