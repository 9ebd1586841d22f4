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


def in_swedish(version: GuideVersion) -> None:
    """Translate a draft of the guide that is shut at first."""
    VersionText.objects.create(
        version=version,
        language="sv",
        title="Rope Walk i Tidegate S",
        summary="Honungslen och rund, söt från första klunken, med ren eftersmak.",
        why="Ventilen är stängd i början så att varje korn hinner bli genomblött innan något rinner ut.",
    )
    for step, (simple, why) in zip(version.steps.all(), SHUT_FIRST_SV, strict=True):
        StepText.objects.create(step=step, language="sv", simple=simple, why=why)
