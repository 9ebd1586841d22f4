"""What the app tells itself after a change is committed. Senders and receivers know only this file."""

from django.dispatch import Signal

version_published = Signal()  # version_id
version_withdrawn = Signal()  # version_id
lot_recalled = Signal()  # lot_id
packing_run_ordered = Signal()  # run_id
webhook_tried = Signal()  # webhook_id
