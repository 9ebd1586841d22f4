"""Words of guides in a second language."""

from guides.models import GuideVersion, StepText, VersionText

SHUT_FIRST_SV = (
    ("Blöt allt kaffe, kanten först och sedan inåt.", "Vid kanten blir kornen lätt torra."),
    ("Häll igen, sakta.", "Väntan släpper ut gasen."),
    ("Rör ett varv med skeden.", "Ett varv löser klumpar."),
    ("Öppna ventilen.", "Rann det innan du öppnade var ventilen inte stängd."),
    ("Häll sista tredjedelen i mitten.", "Friskt vatten sköljer ut det som dragningen har löst."),
    ("Smaka, och häll i hett vatten tills du gillar det.", "Vatten i koppen sänker styrkan och inget annat."),
)


SHUT_FIRST_FI = (
    ("Kastele kaikki kahvi, ensin reuna ja siitä sisäänpäin.", "Reunalla jauhe jää helposti kuivaksi."),
    ("Kaada lisää, hitaasti.", "Odotus päästää kaasun ulos."),
    ("Sekoita lusikalla yksi kierros.", "Yksi kierros hajottaa paakut."),
    ("Avaa venttiili.", "Jos vettä valui ennen avaamista, venttiili ei ollut kiinni."),
    ("Kaada viimeinen kolmannes keskelle.", "Tuore vesi huuhtoo mukaansa sen, mikä on liuennut."),
    ("Maista ja lisää kuumaa vettä, kunnes pidät siitä.", "Vesi kupissa laskee vahvuutta eikä muuta mitään."),
)


def in_swedish(version: GuideVersion) -> None:
    """Translate a draft of the guide that is shut at first."""
    _in(
        version,
        "sv",
        SHUT_FIRST_SV,
        title="Rope Walk i Tidegate S",
        summary="Honungslen och rund, söt från första klunken, med ren eftersmak.",
        why="Ventilen är stängd i början så att varje korn hinner bli genomblött innan något rinner ut.",
    )


def in_finnish(version: GuideVersion) -> None:
    """Translate a draft of the guide that is shut at first."""
    _in(
        version,
        "fi",
        SHUT_FIRST_FI,
        title="Rope Walk ja Tidegate S",
        summary="Hunajainen ja pyöreä, makea ensimmäisestä kulauksesta, puhdas jälkimaku.",
        why="Venttiili on aluksi kiinni, jotta jokainen jyvä ehtii kastua ennen kuin mitään valuu ulos.",
    )


def _in(version: GuideVersion, language: str, steps: tuple[tuple[str, str], ...], **texts: str) -> None:
    VersionText.objects.create(version=version, language=language, **texts)
    for step, (simple, why) in zip(version.steps.all(), steps, strict=True):
        StepText.objects.create(step=step, language=language, simple=simple, why=why)
