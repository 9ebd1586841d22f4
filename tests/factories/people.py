"""Staff."""

import factory
from django.contrib.auth.models import Group
from factory.django import DjangoModelFactory

from guides.models import User


class UserFactory(DjangoModelFactory):
    """``role`` is the name of a group: ``UserFactory(role="packer")``."""

    class Meta:
        model = User
        skip_postgeneration_save = True

    username = factory.Sequence(lambda n: f"member-{n}")
    is_staff = True

    @factory.post_generation
    def role(self: User, create: bool, name: str | None, **_kwargs: object) -> None:
        if create and name:
            self.groups.add(Group.objects.get(name=name))
