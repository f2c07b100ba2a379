from django.db import migrations


class Migration(migrations.Migration):

    dependencies = [
        ('samples', '0005_computations'),
    ]

    operations = [
        migrations.AlterModelOptions(
            name='historicallakespecies',
            options={'get_latest_by': ('history_date', 'history_id'), 'ordering': ('-history_date', '-history_id'), 'verbose_name': 'historical lake species', 'verbose_name_plural': 'historical lake species'},
        ),
        migrations.AlterModelOptions(
            name='lakespecies',
            options={'verbose_name_plural': 'lake species'},
        ),
    ]
