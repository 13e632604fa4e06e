import json

from django.db import migrations

from catalog.models.facts import as_text


def tell_containers(apps, schema_editor):
    """Which parts that lie in others are withdrawn, in the texts of these."""
    part, content = apps.get_model("catalog", "Part"), apps.get_model("catalog", "PartContent")
    withdrawn = part.objects.filter(status="withdrawn")
    names = set(withdrawn.values_list("maker__code", "number"))
    edge, containers = set(withdrawn.values_list("pk", flat=True)), set()
    while edge:
        edge = set(content.objects.filter(part__in=edge).values_list("container", flat=True)) - containers
        containers |= edge
    for one in part.objects.filter(pk__in=containers).exclude(facts=""):
        document = json.loads(one.facts)
        _mark(document, names)
        one.facts = as_text(document)
        one.save(update_fields=["facts"])


def _mark(document, names):
    for inner, _ in document.get("contains", ()):
        _mark(inner, names)
        if (inner["maker"], inner["number"]) in names:
            inner["withdrawn"] = True
    if "contains" in document:
        document["contains"].sort(key=as_text)


class Migration(migrations.Migration):
    dependencies = [
        ("catalog", "0014_holds_of_contents"),
    ]

    operations = [
        migrations.RunPython(tell_containers, migrations.RunPython.noop, elidable=True),
    ]
