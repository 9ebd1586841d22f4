"""Static files under names made from their content, for as long as a browser likes to keep them."""

from whitenoise.storage import CompressedManifestStaticFilesStorage


class StaticFiles(CompressedManifestStaticFilesStorage):  # type: ignore[misc]
    """Scripts import one another under those names too, so that a page never mixes two versions."""

    support_js_module_import_aggregation = True
