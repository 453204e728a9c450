"""How it was measured, what the words mean, and where the formulas come from."""

from __future__ import annotations

from panelwear.cautions import CAUTIONS
from panelwear.report.content import ReportTable, Section, text

METHOD = (
    "Patches are shown full screen on the panel's own pixels, 8 bit a channel, SDR; colours between two codes are a "
    "spatial mix. The probe's X, Y, Z are stored as sent, one row a reading; every figure is worked out from them.",
    "Drift during an evening is fitted through a reference patch that is read again and again, and taken out. Zones "
    "are read in turns with their reference (Z R R Z), so that a steady drift cancels.",
    "Every figure carries its uncertainty: scatter of the readings, placement of the probe, drift, resolution, zero, "
    "linearity, the probe's session and calibration. Intervals are at 95 % with Student's t and effective degrees of "
    "freedom.",
    "What two checkpoints share (one probe with one calibration) is taken out of their comparison; what differs stays "
    "in. “Not significant” is never printed as “no change”.",
)
SOURCES = (
    ("Uncertainty and its combination", "JCGM 100:2008 (GUM); Welch-Satterthwaite, G.4"),
    ("Several figures tested together", "Holm, Scand. J. Statist. 6 (1979), 65"),
    ("No change larger than X", "Schuirmann, J. Pharmacokin. Biopharm. 15 (1987), 657"),
    ("Drift-free comparison Z R R Z", "NIST/SEMATECH e-Handbook, 2.3.3.1.2"),
    ("Chromaticity x, y, u', v'", "CIE 15:2018"),
    ("Correlated colour temperature, Duv", "Ohno, Leukos 10 (2014), 47"),
    ("Contrast, gamma, loading, uniformity, additivity", "Information Display Measurements Standard (ICDM)"),
    ("One step of Δu'v', 0.0011", "CIE TN 001:2014, n-step u'v' circle (advisory)"),
    ("Visibility of a zone", "SEMI D31-1102, extended to other distances and levels by the DICOM GSDF"),
    ("Colours of the charts", "Okabe and Ito, Color Universal Design (2008)"),
)


def section() -> Section:
    """Return method and sources."""
    table = ReportTable("Sources", (text("What"), text("From")), SOURCES)
    return Section("method", "Method and sources", points=METHOD, folded=(table,))


def cautions() -> Section:
    """Return what is said before every inspection."""
    return Section(
        "cautions", "Cautions for whoever repeats the inspection", points=tuple(caution.text for caution in CAUTIONS)
    )
