import guides.codes.short_code
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("guides", "0018_tokens_and_webhooks"),
    ]

    # The table came one migration earlier: there is no row yet that would share the default with another.
    operations = [
        migrations.AddField(
            model_name="site",
            name="code",
            field=models.CharField(
                default=guides.codes.short_code.new,
                editable=False,
                max_length=8,
                unique=True,
                verbose_name="address code",
            ),
        ),
    ]
