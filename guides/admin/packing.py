"""The packing room: runs of inserts, from a lot's code to every copy counted."""

from __future__ import annotations

from typing import Any

from django.contrib import admin
from django.core.exceptions import PermissionDenied
from django.db.models import Model, QuerySet
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.template.response import TemplateResponse
from django.urls import URLPattern, path, reverse
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from guides.choices import RunState
from guides.documents import apart, choices, papers
from guides.lifecycle.errors import Refused
from guides.lifecycle.packing import order, transitions
from guides.models import Event, Lot, PackingRun
from guides.presenters.bag_count import bags_of
from guides.queries import lots, packing_runs

from . import first_sheet, pack_together, packing_paper
from .acts import ActsAdmin, current_user
from .desk import Desk, ReadOnly
from .mixins import ActHistory
from .packing_acts import PACKING_ACTS
from .packing_page import FindForm, proposals
from .period import by_period

ALONE = "alone"
"""Asks for one lot out of a file that several share."""


class LeftFilter(admin.SimpleListFilter):
    title = _("left over copies")
    parameter_name = "left"

    def lookups(self, request: HttpRequest, model_admin: Any) -> list[tuple[str, Any]]:
        return [("some", _("lie somewhere")), ("settle", _("need another word"))]

    def queryset(self, request: HttpRequest, queryset: QuerySet[PackingRun]) -> QuerySet[PackingRun]:
        wanted = {"some": packing_runs.left_over, "settle": lambda: packing_runs.to_settle(timezone.localdate())}
        found = wanted.get(self.value() or "")
        return queryset.filter(pk__in=found().values("pk")) if found else queryset


@admin.register(PackingRun)
class PackingRunAdmin(ReadOnly, ActHistory, ActsAdmin, Desk):
    acts = PACKING_ACTS
    change_form_template = "guides/admin/packing_run.html"
    change_list_template = "guides/admin/packing_runs.html"
    list_display = ("lot", "version", "language", "what", "copies", "mark", "state", "ordered_by", "ordered_at")
    list_filter = (LeftFilter, "state", "language", by_period("ordered_at"), "lot__coffee")
    search_fields = ("lot__name", "version__title")
    fields = (
        ("lot", "version", "language"),
        ("what", "copies", "skip", "flip"),
        ("ordered_by", "ordered_at"),
        ("printed", "spoiled", "left_over", "packed"),
        ("bags", "difference"),
        ("leftovers", "use_until"),
        ("counted_by", "counted_at"),
    )
    readonly_fields = (
        *("what", "ordered_by", "ordered_at", "printed", "spoiled", "left_over", "packed"),
        *("bags", "difference", "counted_by"),
    )

    def get_urls(self) -> list[URLPattern]:
        wrap = self.admin_site.admin_view
        return [
            path("pack/", wrap(self.pack_view), name="guides_packingrun_pack"),
            path("together/", wrap(self.together_view), name="guides_packingrun_together"),
            path("proposed/", wrap(packing_paper.answer), name="guides_packingrun_proposed"),
            path("sheet/", wrap(first_sheet.answer), name="guides_packingrun_sheet"),
            path("<int:object_id>/paper.pdf", wrap(self.paper_view), name="guides_packingrun_paper"),
            path("<int:object_id>/stand/", wrap(self.stand_view), name="guides_packingrun_stand"),
            *super().get_urls(),
        ]

    def get_queryset(self, request: HttpRequest) -> QuerySet[PackingRun]:
        return packing_runs.whole()

    def events_of(self, obj: Model) -> QuerySet[Event]:
        return Event.objects.filter(details__run=obj.pk)

    @admin.display(description=_("format"), ordering="paper")
    def what(self, run: PackingRun) -> Any:
        paper = choices.format_of(run.paper)
        return paper.name if paper else run.paper

    @admin.display(description=_("reprint"), ordering="reprint")
    def mark(self, run: PackingRun) -> str:
        return run.mark

    def about(self, request: HttpRequest, obj: PackingRun) -> dict[str, Any]:
        return self._stand(obj)

    def stand_view(self, request: HttpRequest, object_id: int) -> HttpResponse:
        """How far a run is: the piece of its page that changes while it is made."""
        run = self._run(request, object_id)
        return TemplateResponse(request, "guides/admin/packing_stand.html", {"original": run, **self._stand(run)})

    def _stand(self, run: PackingRun) -> dict[str, Any]:
        ready = run.state in transitions.RELEASED
        together = list(packing_runs.with_file_of(run)) if run.together else []
        return {
            "stand": reverse("admin:guides_packingrun_stand", args=[run.pk]),
            "paper": reverse("admin:guides_packingrun_paper", args=[run.pk]) if ready else "",
            "making": run.state == RunState.MAKING and not transitions.is_lost(run),
            "lost": transitions.is_lost(run),
            "reasons": run.refused_because.splitlines(),
            "together": together,
            "without": [each.lot.name for each in together if each.lot.is_recalled],
            "order_rest": pack_together.address([each.lot.name for each in together if not each.lot.is_recalled]),
        }

    def paper_view(self, request: HttpRequest, object_id: int) -> HttpResponse:
        """Give the finished file, unless the lot has been recalled since; a lot it shares it with is left out then."""
        run = self._run(request, object_id)
        if not request.user.has_perm("guides.print_lot"):
            raise PermissionDenied
        if run.lot.is_recalled:
            return self._back(request, run, _("This lot is recalled: nothing of it is printed. Destroy what was."))
        pdf = papers.kept_run(run.file) if run.file else None
        if pdf is None:
            return self._back(request, run, _("The finished file is not there or damaged. Order the run again."))
        name = f"{run.lot.name}-{run.version.guide.number}.{run.version.revision}.{run.language}{run.mark}.pdf"
        if run.together:
            alone = [run.lot.name] if ALONE in request.GET else []
            wanted = alone or [each.lot.name for each in packing_runs.with_file_of(run) if not each.lot.is_recalled]
            pdf, name = apart.of_lots(pdf, wanted), f"{'-'.join(wanted)[:100]}.pdf"
        return HttpResponse(
            pdf, content_type="application/pdf", headers={"Content-Disposition": f'inline; filename="{name}"'}
        )

    def _back(self, request: HttpRequest, run: PackingRun, reason: Any) -> HttpResponse:
        self.message_user(request, reason, "ERROR")
        return HttpResponseRedirect(self.change_address(run))

    def _run(self, request: HttpRequest, object_id: int) -> PackingRun:
        run = packing_runs.whole().filter(pk=object_id).first()
        if run is None:
            raise Http404
        if not self.has_view_permission(request, run):
            raise PermissionDenied
        return run

    def pack_view(self, request: HttpRequest) -> HttpResponse:
        """From a lot's code to an order: GET finds the lot and proposes, POST shows the first sheet or orders."""
        if not request.user.has_perm("guides.print_lot"):
            raise PermissionDenied
        find = FindForm(request.GET if "lot" in request.GET else None)
        lot = find.found if find.is_valid() else None
        look = request.POST.get("_look", "")
        chosen = look or request.POST.get("_make", "")
        offers = list(proposals(lot, request.POST if chosen else None, chosen)) if lot else []
        for offer in offers:
            if offer.prefix == chosen and offer.form.is_valid():
                if look:
                    offer.sides = first_sheet.addresses(offer.form)
                    return self._pack_page(request, find, lot, offers, refused=not offer.sides)
                try:
                    run = order.order(offer.form.save(commit=False), by=current_user(request))
                except Refused as refused:
                    offer.form.tell(refused.refusals)
                else:
                    if offer.form.followed:
                        self.message_user(request, _("The copies were worked out anew for the format and the sheet."))
                    return HttpResponseRedirect(self.change_address(run))
        return self._pack_page(request, find, lot, offers, refused=bool(chosen))

    def together_view(self, request: HttpRequest) -> HttpResponse:
        """Several lots in one order: GET names them, POST shows their first sheets or orders."""
        if not request.user.has_perm("guides.print_lot"):
            raise PermissionDenied
        order = pack_together.Together(request.GET.getlist("lot"), request.POST if request.method == "POST" else None)
        refused = request.method == "POST"
        # A lot that may not be printed any more is never left out unsaid.
        if request.method == "POST" and not order.problems and order.is_valid():
            if "_look" in request.POST:
                refused = not order.look()
            elif run := order.order(request):
                return HttpResponseRedirect(self.change_address(run))
        context = {
            **self.admin_site.each_context(request),
            "title": _("Pack several lots"),
            "opts": self.opts,
            "order": order,
            "here": pack_together.address(order.names),
            "others": [
                (lot.name, pack_together.address([*order.names, lot.name]))
                for lot in packing_runs.lots_to_pack()
                if lot.name not in order.names
            ],
            "media": self.media,
        }
        return TemplateResponse(request, "guides/admin/pack_together.html", context, status=409 if refused else 200)

    def _pack_page(
        self, request: HttpRequest, find: FindForm, lot: Lot | None, offers: list[Any], *, refused: bool
    ) -> HttpResponse:
        context = {
            **self.admin_site.each_context(request),
            "title": _("Pack a lot"),
            "opts": self.opts,
            "find": find,
            "lot": lot,
            "offers": offers,
            "bags": bags_of(lot) if lot else 0,
            "code": lots.code_of(lot) if lot else "",
            "left_over": packing_runs.left_over(lot) if lot else (),
            "uncounted": packing_runs.uncounted(lot) if lot else (),
            "media": self.media,
        }
        return TemplateResponse(request, "guides/admin/pack.html", context, status=409 if refused else 200)
