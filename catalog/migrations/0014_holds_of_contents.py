import json

from django.db import migrations

from catalog.models.facts import as_text


def tell_containers(apps, schema_editor):
    """What is on hold already of parts that lie in others, in the texts of these."""
    part, content = apps.get_model("catalog", "Part"), apps.get_model("catalog", "PartContent")
    on_hold = part.objects.exclude(held="").select_related("maker")
    rows = {one.pk: [[*row, [one.maker.code, one.number]] for row in _rows(one)] for one in on_hold}
    told = {number: {number} for number in rows}
    edge = set(rows)
    while edge:
        pairs = content.objects.filter(part__in=edge).values_list("container", "part")
        edge = set()
        for container, inner in pairs:
            known = told.setdefault(container, set())
            if not told[inner] <= known:
                known |= told[inner]
                edge.add(container)
    for one in part.objects.filter(pk__in=told):
        inside = [row for number in told[one.pk] - {one.pk} for row in rows[number]]
        if inside:
            one.held = as_text(sorted([*_rows(one), *inside], key=as_text))
            one.save(update_fields=["held"])


def _rows(one):
    return json.loads(one.held) if one.held else []


class Migration(migrations.Migration):
    dependencies = [
        ("catalog", "0013_checks_with_fewer_indexes"),
    ]

    operations = [
        migrations.RunPython(tell_containers, migrations.RunPython.noop, elidable=True),
    ]
