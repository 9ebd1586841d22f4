"""A site without any page."""

urlpatterns: list[object] = []
