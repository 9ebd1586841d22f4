"""Words that a column may hold. Values match the calculation module's enums where both speak of the same thing."""

from django.db.models import TextChoices
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from guides.calculations import advice, bed_check, freshness, plan, presets
from guides.calculations import vessel as vessels


class RoastLevel(TextChoices):
    LIGHT = freshness.RoastLevel.LIGHT.value, _("light")
    MEDIUM_LIGHT = freshness.RoastLevel.MEDIUM_LIGHT.value, _("medium-light")
    MEDIUM = freshness.RoastLevel.MEDIUM.value, _("medium")
    MEDIUM_DARK = freshness.RoastLevel.MEDIUM_DARK.value, _("medium-dark")
    DARK = freshness.RoastLevel.DARK.value, _("dark")


class Gas(TextChoices):
    RESTED = freshness.GasLevel.RESTED.value, _("rested")
    LIVELY = freshness.GasLevel.LIVELY.value, _("lively")
    VERY_FRESH = freshness.GasLevel.VERY_FRESH.value, _("very fresh")


class VesselShape(TextChoices):
    CONE = "cone", _("cone")
    CYLINDER = "cylinder", _("straight-walled")


class Outflow(TextChoices):
    OPEN = vessels.Flow.OPEN.value, _("runs at once")
    VALVE = vessels.Flow.VALVE.value, _("runs when its valve is open")
    CLOSED = vessels.Flow.CLOSED.value, _("full immersion, poured off")


class MeasuredBy(TextChoices):
    LASER = "laser", _("laser")
    SIEVE = "sieve", _("sieve")
    BURR_GAP = "burr_gap", _("burr gap")


class State(TextChoices):
    DRAFT = "draft", _("draft")
    IN_REVIEW = "in_review", _("in review")
    PUBLISHED = "published", _("published")
    WITHDRAWN = "withdrawn", _("withdrawn")


FROZEN_STATES = (State.PUBLISHED, State.WITHDRAWN)
OPEN_STATES = (State.DRAFT, State.IN_REVIEW)


class Action(TextChoices):
    POUR = plan.Action.POUR.value, _("pour")
    OPEN = plan.Action.OPEN.value, _("open the valve")
    SHUT = plan.Action.SHUT.value, _("shut the valve")
    STIR = plan.Action.STIR.value, _("stir")
    SWIRL = plan.Action.SWIRL.value, _("swirl")
    LID = plan.Action.LID.value, _("put the lid on")
    BREAK_CRUST = plan.Action.BREAK_CRUST.value, _("break the crust")
    DECANT = plan.Action.DECANT.value, _("decant")
    ADD_BYPASS = plan.Action.ADD_BYPASS.value, _("add water to the cup")


class Anchor(TextChoices):
    START = plan.Anchor.START.value, _("brew start")
    PREVIOUS = plan.Anchor.PREVIOUS.value, _("end of the step before")
    OPENED = plan.Anchor.OPENED.value, _("valve opened")
    FIRST_DRIP = plan.Anchor.FIRST_DRIP.value, _("first drip")
    DRAINED = plan.Anchor.DRAINED.value, _("drained")


class Height(TextChoices):
    LOW = plan.Height.LOW.value, _("low")
    MEDIUM = plan.Height.MEDIUM.value, _("medium")
    HIGH = plan.Height.HIGH.value, _("high")


class Path(TextChoices):
    CENTRE = plan.Path.CENTRE.value, _("into the centre")
    SPIRAL_OUT = plan.Path.SPIRAL_OUT.value, _("in circles from the centre outward")
    SPIRAL_IN = plan.Path.SPIRAL_IN.value, _("in circles from the rim inward")
    RIM = plan.Path.RIM.value, _("around the rim")


class Verb(TextChoices):
    """Acts that the audit trail records."""

    CREATED = "created", _("created")
    OPENED_DRAFT = "opened_draft", _("opened a draft")
    LOGGED = "logged", _("logged a trial brew")
    SET_ASIDE = "set_aside", _("set a trial brew aside")
    TOOK_BACK = "took_back", _("let a trial brew count again")
    SUBMITTED = "submitted", _("submitted for review")
    RETURNED = "returned", _("returned")
    RESOLVED = "resolved", _("marked a comment done")
    APPROVED = "approved", _("approved")
    WAIVED = "waived", _("waived the check brew")
    SCHEDULED = "scheduled", _("set a time to publish")
    CALLED_OFF = "called_off", _("called publishing off")
    NOT_PUBLISHED = "not_published", _("not published when due")
    PUBLISHED = "published", _("published")
    WITHDRAWN = "withdrawn", _("withdrew")
    ASSIGNED = "assigned", _("assigned a guide")
    HELD = "held", _("held a guide for a lot")
    RECALLED = "recalled", _("recalled")
    RECALLED_ALL = "recalled_all", _("recalled with all its lots")
    SENT_BAGS = "sent_bags", _("wrote down where bags went")
    ANSWERED = "answered", _("answered a question")
    KEPT_PRIVATE = "kept_private", _("kept a question private")
    MARKED_SPAM = "marked_spam", _("marked a question as spam")
    REOPENED = "reopened", _("reopened a question")
    MERGED = "merged", _("merged two questions")
    DELETED = "deleted", _("deleted a question")
    NOTED = "noted", _("wrote a why-note from a question")
    ORDERED_RUN = "ordered_run", _("ordered a packing run")
    RELEASED_RUN = "released_run", _("released a packing run for printing")
    REFUSED_RUN = "refused_run", _("refused a packing run")
    CANCELLED_RUN = "cancelled_run", _("cancelled a packing run")
    COUNTED_RUN = "counted_run", _("counted a packing run")
    SETTLED_COPIES = "settled_copies", _("said what happens to left over copies")
    OPENED_TASTING = "opened_tasting", _("opened a blind tasting")
    REVEALED = "revealed", _("revealed a blind tasting")
    SIGNED_OFF = "signed_off", _("signed a trainee off")
    KEPT_GUIDE = "kept_guide", _("kept a guide for a lot that drains otherwise")
    MERGED_COFFEES = "merged_coffees", _("made one coffee of two")
    EXPLAINED_LOSS = "explained_loss", _("explained a roast loss")
    CHANGED = "changed", _("changed")
    BROUGHT_IN = "brought_in", _("brought a list in")
    ISSUED_TOKEN = "issued_token", _("issued a token")
    REVOKED_TOKEN = "revoked_token", _("revoked a token")
    ADDED_WEBHOOK = "added_webhook", _("added a webhook")
    ENDED_WEBHOOK = "ended_webhook", _("ended a webhook")
    TRIED_WEBHOOK = "tried_webhook", _("tried a webhook out")
    FACTOR_OFF = "factor_off", _("second factor taken off")


class Scope(TextChoices):
    """What a token may be good for, beyond what anybody may read."""

    EVIDENCE = "evidence", _("read what trial brews say, in figures")
    WEBHOOKS = "webhooks", _("add and end webhooks")


class Told(TextChoices):
    """What webhooks may be told of."""

    PUBLISHED = "guide.published", _("guides published")
    WITHDRAWN = "guide.withdrawn", _("guides withdrawn")
    RECALLED = "lot.recalled", _("lots recalled")


class QuestionState(TextChoices):
    OPEN = "open", _("open")
    ANSWERED = "answered", _("answered")
    PRIVATE = "private", _("kept private")
    SPAM = "spam", _("spam")
    MERGED = "merged", _("merged")


class TastingKind(TextChoices):
    PREFERENCE = "preference", _("which of two to four is liked best")
    TRIANGLE = "triangle", _("triangle test: can anybody tell two apart")


class Follow(TextChoices):
    """How a lot is tied to a guide."""

    NEWEST = "newest", _("follows the newest revision")
    PINNED = "pinned", _("stays on one revision")
    HELD = "held", _("held: not shown for this lot")


class Sample(TextChoices):
    """Where a strength reading's drops were taken."""

    BEFORE_BYPASS = "before_bypass", _("before water was added")
    AFTER_BYPASS = "after_bypass", _("from the finished cup")


class Found(TextChoices):
    """How strong a cup was found."""

    WEAK = advice.Strength.WEAK.value, _("weak")
    RIGHT = advice.Strength.RIGHT.value, pgettext_lazy("strength", "right")
    STRONG = advice.Strength.STRONG.value, _("strong")


class Balance(TextChoices):
    """How a cup tastes apart from its strength."""

    SOUR_THIN = advice.Balance.SOUR_THIN.value, _("sour, thin")
    BALANCED = advice.Balance.BALANCED.value, _("balanced")
    BITTER_DRY = advice.Balance.BITTER_DRY.value, _("bitter, drying")


class Wall(TextChoices):
    """Grounds on the wall of the brewer above the spent bed."""

    BARE = bed_check.WallSeen.BARE.value, _("none")
    THIN = bed_check.WallSeen.THIN.value, _("a thin coat")
    HIGH = bed_check.WallSeen.HIGH.value, _("thick, high up")


class Bed(TextChoices):
    """The surface of the spent bed."""

    FLAT = bed_check.BedSeen.FLAT.value, _("flat")
    HOLLOW = bed_check.BedSeen.HOLLOW.value, _("hollow")
    SLOPING = bed_check.BedSeen.SLOPING.value, _("sloping")


class Method(TextChoices):
    """Usual plans to begin from."""

    VALVE = presets.Method.VALVE.value, _("Shut first, then open")
    PULSES = presets.Method.PULSES.value, _("In pulses")
    IMMERSION = presets.Method.IMMERSION.value, _("Full immersion")
    OVER_ICE = presets.Method.OVER_ICE.value, _("Over ice")


class Opened(TextChoices):
    """What of a guide somebody opened."""

    PAGE = "page", _("opened")
    BREWING = "brewing", _("brewed along")


class RunState(TextChoices):
    """Where a packing run stands."""

    MAKING = "making", _("being made")
    READY = "ready", _("ready to print")
    REFUSED = "refused", _("refused")
    CANCELLED = "cancelled", _("cancelled")
    COUNTED = "counted", _("counted")


class Flip(TextChoices):
    """The edge along which a printer turns a sheet over for its second side."""

    LONG = "long", _("the long edge")
    SHORT = "short", _("the short edge")


class PaperLayout(TextChoices):
    """What an own size is laid out like; values are keys of the house's formats in the documents room."""

    STICKER = "sticker-50x30", _("lot sticker: lot, window and code")
    CARD = "card-a7", _("small card: one side, in short")
    INSERT = "insert-a6", _("insert: steps in front, reasons behind")
    LARGE = "large-a5", _("large print: steps in front, the rest behind")
    WALL = "wall-a4", _("wall sheet: one side, read from a step away")


class SheetSize(TextChoices):
    A4 = "a4", "A4"
    LETTER = "letter", "Letter"


class Leftovers(TextChoices):
    """What happens to copies of a packing run that no bag took."""

    USE = "use", _("use until a day")
    DESTROY = "destroy", _("destroyed")


class Outlet(TextChoices):
    """What kind of place bags of a lot went to."""

    SHELF = "shelf", _("own shelf")
    WEB = "web", _("web orders")
    CAFE = "cafe", _("cafés and shops")
    RETAINED = "retained", _("kept as samples")


class CheckAnswer(TextChoices):
    """Whether an insert belongs to a bag; the words fill a screen."""

    SAME = "same", _("SAME LOT")
    OLD = "old", _("OLD INSERT")
    REVISION = "revision", _("WRONG REVISION")
    GUIDE = "guide", _("WRONG GUIDE")
    WRONG = "wrong", _("WRONG LOT")
    RECALLED = "recalled", _("RECALLED")
    NO_PAIR = "no_pair", _("NOT A PAIR")
    UNKNOWN = "unknown", _("UNKNOWN CODE")


class CheckMeans(TextChoices):
    """What read the codes of a bag and an insert."""

    KEYS = "keys", _("scanner or keys")
    PHOTO = "photo", _("photo")
    CAMERA = "camera", _("camera")


class JobState(TextChoices):
    WAITING = "waiting", _("waiting")
    RUNNING = "running", _("running")
    DONE = "done", _("done")
    FAILED = "failed", _("failed")
    CANCELLED = "cancelled", _("cancelled")
