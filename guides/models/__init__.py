"""The tables. One file each; ``base.py`` says what may change, ``triggers.py`` holds the databases to it."""

from .address import Address
from .api_token import ApiToken
from .assignment import Assignment
from .backup import Backup
from .brewer import Brewer
from .change_mark import ChangeMark
from .coffee import Coffee
from .coffee_picture import CoffeePicture
from .cup_note import CupNote
from .dispatch import Dispatch
from .event import Event
from .green_lot import GreenLot
from .grinder import Grinder
from .grinder_point import GrinderPoint
from .guide import Guide
from .guide_opens import GuideOpens
from .guide_version import GuideVersion
from .held_list import HeldList
from .home_brew import HomeBrew
from .job_run import JobRun
from .label_stock import LabelStock
from .lot import Lot
from .lot_check import LotCheck
from .lot_part import LotPart
from .packing_run import PackingRun
from .page_stamp import PageStamp
from .paper import Paper
from .print_format import PrintFormat
from .question import Question
from .request_count import RequestCount
from .review_comment import ReviewComment
from .roast import Roast
from .roastery import Roastery
from .sign_off import SignOff
from .site import Site
from .spent_token import SpentToken
from .step import Step
from .step_media import StepClip, StepPicture
from .taster import Taster
from .tasting import Tasting
from .tasting_cup import TastingCup
from .trainee import Trainee
from .translation import StepText, VersionText
from .trial_brew import TrialBrew
from .trial_picture import TrialPicture
from .user import User
from .valve_base import ValveBase
from .version_editor import VersionEditor
from .vessel import Vessel
from .webhook import Webhook
from .worker import Worker

__all__ = [
    "Address",
    "ApiToken",
    "Assignment",
    "Backup",
    "Brewer",
    "ChangeMark",
    "Coffee",
    "CoffeePicture",
    "CupNote",
    "Dispatch",
    "Event",
    "GreenLot",
    "Grinder",
    "GrinderPoint",
    "Guide",
    "GuideOpens",
    "GuideVersion",
    "HeldList",
    "HomeBrew",
    "JobRun",
    "LabelStock",
    "Lot",
    "LotCheck",
    "LotPart",
    "PackingRun",
    "PageStamp",
    "Paper",
    "PrintFormat",
    "Question",
    "RequestCount",
    "ReviewComment",
    "Roast",
    "Roastery",
    "SignOff",
    "Site",
    "SpentToken",
    "Step",
    "StepClip",
    "StepPicture",
    "StepText",
    "Taster",
    "Tasting",
    "TastingCup",
    "Trainee",
    "TrialBrew",
    "TrialPicture",
    "User",
    "ValveBase",
    "VersionEditor",
    "VersionText",
    "Vessel",
    "Webhook",
    "Worker",
]
