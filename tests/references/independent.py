"""Computes again, from published formulas and tables, every check value that is said to be "computed independently".

Nothing here uses the program, numpy, scipy or a library of colour: each formula is written once more from the
constants its standard prints. ``benchmarks/check_values.py`` says how far each stored value is off.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from fractions import Fraction
from statistics import NormalDist
from typing import Any

from tests.references.planck import cct_duv, uv_of_xy, uv_off_the_locus, xy_of_planck, xy_of_uv

COMPUTED = "computed independently by tests/references/independent.py"
Inputs = Mapping[str, Any]

# DICOM PS3.14, 7.1: coefficients a to m of log10 L over ln j, and of j over log10 L.
GSDF_ABOVE = (-1.3011877, 8.0242636e-2, 1.3646699e-1, -2.5468404e-2, 1.3635334e-3)
GSDF_BELOW = (1.0, -2.5840191e-2, -1.0320229e-1, 2.8745620e-2, -3.1978977e-3, 1.2992634e-4)
GSDF_INVERSE = (71.498068, 94.593053, 41.912053, 9.8247004, 0.28175407)
GSDF_INVERSE += (-1.1878455, -0.18014349, 0.14710899, -0.017046845)
# SMPTE ST 2084: m1, m2, c1, c2, c3 as the fractions it prints.
PQ = (2610 / 16384, 2523 / 4096 * 128, 3424 / 4096, 2413 / 4096 * 32, 2392 / 4096 * 32)
# ITU-R BT.709 and BT.2020: x, y of R, G, B; white is D65 as they round it.
PRIMARIES = {
    "sRGB/BT.709": (("0.64", "0.33"), ("0.30", "0.60"), ("0.15", "0.06")),
    "BT.2020": (("0.708", "0.292"), ("0.170", "0.797"), ("0.131", "0.046")),
}
WHITE = ("0.3127", "0.3290")


def gsdf_cd_m2(j: float) -> float:
    """Return the grey-scale standard display function."""
    x = math.log(j)
    return 10.0 ** (sum(c * x**i for i, c in enumerate(GSDF_ABOVE)) / sum(c * x**i for i, c in enumerate(GSDF_BELOW)))


def gsdf_index(cd_m2: float) -> float:
    """Return its inverse by the polynomial the standard prints."""
    return sum(c * math.log10(cd_m2) ** i for i, c in enumerate(GSDF_INVERSE))


def gsdf_step(cd_m2: float) -> float:
    """Return one just noticeable difference as a share, half an index to both sides of the polynomial's index."""
    j = gsdf_index(cd_m2)
    return (gsdf_cd_m2(j + 0.5) - gsdf_cd_m2(j - 0.5)) / cd_m2


def srgb(V: float) -> float:
    """Return the EOTF of IEC 61966-2-1."""
    return V / 12.92 if V <= 0.04045 else ((V + 0.055) / 1.055) ** 2.4


def camera_709(L: float, alpha: float = 1.099, beta: float = 0.018) -> float:
    """Return the OETF of ITU-R BT.709; of BT.2020 at 12 bit with its own constants."""
    return 4.5 * L if beta > L else alpha * L**0.45 - (alpha - 1)


def bt1886(V: float, Lw: float, Lb: float) -> float:
    """Return the EOTF of ITU-R BT.1886, Annex 1."""
    w, b = Lw ** (1 / 2.4), Lb ** (1 / 2.4)
    return (w - b) ** 2.4 * max(V + b / (w - b), 0.0) ** 2.4


def pq_cd_m2(E: float) -> float:
    """Return the EOTF of SMPTE ST 2084."""
    m1, m2, c1, c2, c3 = PQ
    p = E ** (1 / m2)
    return 10000 * (max(p - c1, 0.0) / (c2 - c3 * p)) ** (1 / m1)


def pq_signal(cd_m2: float) -> float:
    """Return its inverse."""
    m1, m2, c1, c2, c3 = PQ
    y = (cd_m2 / 10000) ** m1
    return float(((c1 + c2 * y) / (1 + c3 * y)) ** m2)


def hlg_cd_m2(E: float) -> float:
    """Return a grey's luminance by ITU-R BT.2100's HLG, 1,000 cd/m², black at 0: system gamma 1.2."""
    a, b, c = 0.17883277, 0.28466892, 0.55991073
    return 1000 * float((E * E / 3 if E <= 0.5 else (math.exp((E - c) / a) + b) / 12) ** 1.2)


def luminance_row(space: str) -> list[float]:
    """Return the share of R, G, B in white's luminance, by Cramer's rule in fractions (SMPTE RP 177)."""
    columns = [[Fraction(x) / Fraction(y), Fraction(1), (1 - Fraction(x) - Fraction(y)) / Fraction(y)]
               for x, y in (*PRIMARIES[space], WHITE)]  # fmt: skip
    *primaries, white = columns

    def determinant(p: list[Fraction], q: list[Fraction], r: list[Fraction]) -> Fraction:
        return (p[0] * (q[1] * r[2] - q[2] * r[1]) - q[0] * (p[1] * r[2] - p[2] * r[1])
                + r[0] * (p[1] * q[2] - p[2] * q[1]))  # fmt: skip

    whole = determinant(*primaries)
    swapped = [[white if i == k else p for i, p in enumerate(primaries)] for k in range(3)]
    return [float(determinant(*three) / whole) for three in swapped]


def uv_1976(xy: list[float]) -> list[float]:
    """Return u', v' (CIE 15)."""
    u, v = uv_of_xy(*xy)
    return [u, 1.5 * v]


def lightness(share: float) -> float:
    """Return L* (ISO/CIE 11664-4)."""
    return 116 * share ** (1 / 3) - 16 if share > (6 / 29) ** 3 else (29 / 3) ** 3 * share


def mccamy_K(x: float, y: float) -> float:
    """Return McCamy's approximation of 1992."""
    n = (x - 0.3320) / (0.1858 - y)
    return float(449 * n**3 + 3525 * n**2 + 6823.3 * n + 5520.33)


def pupil_mm(L: float, X0: float) -> float:
    """Return the diameter of the pupil before a field of X0 degrees (Barten 1999, as the next four)."""
    return 5 - 3 * math.tanh(0.4 * math.log10(L * X0**2 / 40**2))


def blur_deg(d_mm: float) -> float:
    """Return the spread of the eye's point image."""
    return math.hypot(0.5 / 60, 0.08 / 60 * d_mm)


def trolands(L: float, d_mm: float) -> float:
    """Return retinal illuminance, corrected for light that enters at the pupil's edge."""
    return math.pi * d_mm**2 / 4 * L * (1 - (d_mm / 9.7) ** 2 + (d_mm / 12.4) ** 4)


def optics(u: float, sigma_deg: float) -> float:
    """Return the share of a contrast the eye's optics pass on."""
    return math.exp(-2 * math.pi**2 * sigma_deg**2 * u**2)


def barten(u: float, L: float, X0: float, d_mm: float) -> float:
    """Return contrast sensitivity, with his values for the typical observer."""
    noise = 1 / (0.03 * 1.2274e6 * trolands(L, d_mm)) + 3e-8 / -math.expm1(-((u / 7) ** 2))
    summed = 1 / X0**2 + 1 / 12**2 + u**2 / 15**2
    return optics(u, blur_deg(d_mm)) / 3 / math.sqrt(2 / 0.1 * summed * noise)


def student_share(t: float, nu: int) -> float:
    """Return the share of Student's t within -t to t, by the finite series of Abramowitz and Stegun 26.7.3, 26.7.4."""
    theta = math.atan(t / math.sqrt(nu))
    term, total = (math.cos(theta), 0.0) if nu % 2 else (1.0, 0.0)
    for k in range(1 + nu % 2, nu, 2):
        total += term
        term *= k / (k + 1) * math.cos(theta) ** 2
    return 2 / math.pi * (theta + math.sin(theta) * total) if nu % 2 else math.sin(theta) * total


def student_t(share: float, nu: int) -> float:
    """Return the factor that holds a share, by halving."""
    low, high = 0.0, 1e4
    while high - low > 1e-10:
        middle = (low + high) / 2
        low, high = (middle, high) if student_share(middle, nu) < share else (low, middle)
    return (low + high) / 2


def degrees_of_freedom(i: Inputs) -> float:
    """Return the Welch-Satterthwaite formula of JCGM 100, G.4."""
    each = list(zip(i["u_i"], i["nu_i"], strict=True))
    return float(sum(u**2 for u, _ in each) ** 2 / sum(u**4 / nu for u, nu in each))


def conformance(i: Inputs) -> list[float]:
    """Return the chance that a drop keeps its limit, and the limit guarded for 95 % (JCGM 106)."""
    normal = NormalDist()
    return [normal.cdf((i["limit"] - i["y"]) / i["u"]), i["limit"] - normal.inv_cdf(0.95) * i["u"]]


def xyz(x: float, y: float, Y: float) -> list[float]:
    """Return X, Y, Z (CIE 15)."""
    return [Y * x / y, Y, Y * (1 - x - y) / y]


RECIPES: dict[str, Callable[[Inputs], Any]] = {
    "GSDF-L": lambda i: gsdf_cd_m2(i["j"]),
    "GSDF-D12": lambda i: [gsdf_cd_m2(j) for j in i["j"]],
    "GSDF-J": lambda i: gsdf_index(i["L"]),
    "GSDF-W": lambda i: gsdf_step(i["L"]),
    "SRGB-": lambda i: srgb(i["V"]),
    "SRGB-INV18": lambda i: 1.055 * i["L"] ** (1 / 2.4) - 0.055,
    "BT709-": lambda i: camera_709(i["L"]),
    "BT2020-12": lambda i: camera_709(i["L"], 1.0993, 0.0181),
    "BT1886-": lambda i: bt1886(i["V"], i["Lw"], i["Lb"]),
    "BT1886-CODE": lambda i: [(D - 64) / 876 for D in i["D"]],
    "PQ-CONST": lambda i: list(PQ),
    "PQ-E": lambda i: pq_cd_m2(i["E'"]),
    "PQ-L": lambda i: pq_signal(i["L"]),
    "HLG-": lambda i: hlg_cd_m2(i["E'"]),
    "HLG-GAMMA": lambda i: [1.2 + 0.42 * math.log10(Lw / 1000) for Lw in i["Lw"]],
    "NPM-": lambda i: luminance_row(i["space"]),
    "UCS-": lambda i: uv_1976(i["xy"]),
    "XYZ-D65": lambda i: xyz(*i["xy"], i["Y"]),
    "LAB-": lambda i: lightness(i["Y"]),
    "CCT-": lambda i: cct_duv(*uv_of_xy(*i["xy"]))[0],
    "CCT-DOC": lambda i: dict(zip(("CCT", "Duv"), cct_duv(*i["uv"]), strict=True)),
    "DUV-": lambda i: cct_duv(*uv_of_xy(*i["xy"]))[1],
    "PLANCK-": lambda i: list(xy_of_planck(i["T"])),
    "CCTINV-": lambda i: list(xy_of_uv(*uv_off_the_locus(i["CCT"], i["Duv"]))),
    "MCCAMY-D65": lambda i: mccamy_K(*i["xy"]),
    "BARTEN-S4": lambda i: barten(i["u"], i["L"], i["X0_deg"], pupil_mm(i["L"], i["X0_deg"])),
    "BARTEN-DOC": lambda i: barten(i["u"], 20, 60, d_mm=2.1),
    "BARTEN-MTF": lambda i: optics(i["u"], i["sigma_deg"]),
    "BARTEN-PUPIL": lambda i: pupil_mm(i["L"], i["X0_deg"]),
    "BARTEN-SIGMA": lambda i: blur_deg(i["d"]),
    "BARTEN-TROLAND": lambda i: trolands(i["L"], i["d"]),
    "TTAB-95": lambda i: [student_t(0.95, nu) for nu in i["nu"]],
    "GUM-H1-U99": lambda i: student_t(0.99, i["nu"]) * i["uc"],
    "GUM-H1-VEFF2": degrees_of_freedom,
    "JCGM106-2": lambda i: [NormalDist().inv_cdf(i["p"]), NormalDist().cdf(2)],
    "JCGM106-3": conformance,
}
"""By how the id of a check value begins; the longest that fits counts."""


def computed(record: Mapping[str, Any]) -> Any:
    """Return the value of a record, computed from its inputs."""
    fits = [begin for begin in RECIPES if record["id"].startswith(begin)]
    return RECIPES[max(fits, key=len)](record["inputs"])


def rounded(found: Any, tolerance: float) -> Any:
    """Return a value with two digits more than its tolerance has; named parts with seven decimals."""
    if isinstance(found, dict):
        return {key: round(part, 7) for key, part in found.items()}
    if isinstance(found, list):
        return [rounded(part, tolerance) for part in found]
    return round(found, 2 - math.floor(math.log10(tolerance))) if tolerance else found
