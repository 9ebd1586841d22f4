"""What reviewers ask for."""

import factory
from factory.django import DjangoModelFactory

from guides.models import ReviewComment

from .guides import GuideVersionFactory
from .people import UserFactory


class ReviewCommentFactory(DjangoModelFactory):
    class Meta:
        model = ReviewComment

    version = factory.SubFactory(GuideVersionFactory)
    step = factory.LazyAttribute(lambda comment: comment.version.steps.all()[comment.place - 1])
    place = 3
    text = "How far is the kettle from the water here?"
    written_by = factory.SubFactory(UserFactory, role="publisher")
