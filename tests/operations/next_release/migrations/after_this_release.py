"""What a release may add: a column that old code need not know, with a default of its own."""

import pkgutil

from django.db import migrations, models

from samples import migrations as ours

LAST = max(module.name for module in pkgutil.iter_modules(ours.__path__))


class Migration(migrations.Migration):
    dependencies = [("samples", LAST)]
    operations = [
        migrations.AddField("fish", "dorsal_rays", models.IntegerField(default=0, db_default=0)),
    ]
