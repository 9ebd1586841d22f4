"""The bibliography: where published constants, formulas and check values come from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True)
class Source:
    """One published work. ``doi`` is empty where none exists; ``note`` says what it is used for here."""

    authors: str
    year: int
    title: str
    where: str
    doi: str = ""
    note: str = ""

    @property
    def citation(self) -> str:
        """The work as one line of text."""
        tail = f" doi:{self.doi}" if self.doi else ""
        return f"{self.authors} ({self.year}). {self.title}. {self.where}.{tail}"


SOURCES: Final[dict[str, Source]] = {
    # Units, water, air
    "nist-sp811": Source(
        "Thompson, A. & Taylor, B. N.",
        2008,
        "Guide for the Use of the International System of Units (SI)",
        "NIST Special Publication 811",
        "10.6028/NIST.SP.811e2008",
        "exact conversion factors",
    ),
    "codata-2018": Source(
        "Tiesinga, E., Mohr, P. J., Newell, D. B. & Taylor, B. N.",
        2021,
        "CODATA recommended values of the fundamental physical constants: 2018",
        "Rev. Mod. Phys. 93:025010",
        "10.1103/RevModPhys.93.025010",
        "molar gas constant",
    ),
    "iupac-2021": Source(
        "Prohaska, T. et al.",
        2022,
        "Standard atomic weights of the elements 2021 (IUPAC technical report)",
        "Pure Appl. Chem. 94(5):573-600",
        "10.1515/pac-2019-0603",
        "molar masses of salts and of carbon dioxide",
    ),
    "iapws-97": Source(
        "International Association for the Properties of Water and Steam",
        2012,
        "Revised release on the IAPWS Industrial Formulation 1997 (R7-97)",
        "IAPWS",
        note="density, heat capacity, viscosity and boiling point of water",
    ),
    "us-atmosphere-1976": Source(
        "NOAA, NASA & US Air Force",
        1976,
        "U.S. Standard Atmosphere, 1976",
        "NOAA-S/T 76-1562",
        note="air pressure at altitude",
    ),
    "kell-1975": Source(
        "Kell, G. S.",
        1975,
        "Density, thermal expansivity, and compressibility of liquid water from 0 to 150 degrees C",
        "J. Chem. Eng. Data 20(1):97-105",
        "10.1021/je60064a005",
        "density of water; coefficients from memory, checked against IAPWS-97",
    ),
    "patek-2009": Source(
        "Pátek, J., Hrubý, J., Klomfar, J., Součková, M. & Harvey, A. H.",
        2009,
        "Reference correlations for thermophysical properties of liquid water at 0.1 MPa",
        "J. Phys. Chem. Ref. Data 38(1):21-29",
        "10.1063/1.3043575",
        "viscosity of water; coefficients from memory, checked against IAPWS-97",
    ),
    "osborne-1939": Source(
        "Osborne, N. S., Stimson, H. F. & Ginnings, D. C.",
        1939,
        "Measurements of heat capacity and heat of vaporization of water in the range 0 to 100 degrees C",
        "J. Res. Natl. Bur. Stand. 23:197-260",
        note="heat capacity of water; formula from memory, checked against IAPWS-97",
    ),
    "carman-1937": Source(
        "Carman, P. C.",
        1937,
        "Fluid flow through granular beds",
        "Trans. Inst. Chem. Eng. 15:150-166",
        note="permeability of a packed bed (Kozeny-Carman, factor 180)",
    ),
    # Strength and extraction
    "scaa-golden-cup-2015": Source(
        "Specialty Coffee Association of America",
        2015,
        "Golden Cup standard, revised December 2015",
        "SCAA",
        note="55 g/L, 1.15-1.35 %, 18-22 %, 93 degrees C",
    ),
    "scaa-water": Source(
        "Specialty Coffee Association of America",
        2009,
        "Water for brewing specialty coffee",
        "SCAA",
        note="target water",
    ),
    "scaa-cupping": Source(
        "Specialty Coffee Association of America",
        2015,
        "Cupping protocols, revised December 2015",
        "SCAA",
        note="8.25 g per 150 mL; 70-75 % through a No. 20 sieve",
    ),
    "sca-chart-2019": Source(
        "Specialty Coffee Association",
        2019,
        "Coffee brewing control chart",
        "SCA",
        note="axes and ratio lines; 1 L of water at 93 degrees C weighs 963 g",
    ),
    "frost-2020": Source(
        "Frost, S. C., Ristenpart, W. D. & Guinard, J.-X.",
        2020,
        "Effects of brew strength, brew yield, and roast on the sensory quality of drip brewed coffee",
        "J. Food Sci. 85(8):2530-2543",
        "10.1111/1750-3841.15326",
        "design points of strength and extraction; roast losses of table 2",
    ),
    "cotter-2021": Source(
        "Cotter, A. R., Batali, M. E., Ristenpart, W. D. & Guinard, J.-X.",
        2021,
        "Consumer preferences for black coffee are spread over a wide range of brew strengths and extraction yields",
        "J. Food Sci. 86(1):194-205",
        "10.1111/1750-3841.15561",
        "the 18-22 % box is a map, not a grade",
    ),
    "ristenpart-2023": Source(
        "Ristenpart, W. D., Cotter, A. R. & Guinard, J.-X.",
        2023,
        "Consumer preference data for black coffee (data set, CC0)",
        "Dryad",
        "10.25338/B8993H",
        "dose, beverage mass, strength and extraction of real batches",
    ),
    "liang-2021": Source(
        "Liang, J., Chan, K. C. & Ristenpart, W. D.",
        2021,
        "An equilibrium desorption model for the strength and extraction yield of full immersion brewed coffee",
        "Sci. Rep. 11:6904",
        "10.1038/s41598-021-85787-1",
        "the plateau of full immersion",
    ),
    "batali-2020": Source(
        "Batali, M. E., Ristenpart, W. D. & Guinard, J.-X.",
        2020,
        "Brew temperature, at fixed brew strength and extraction, has little impact on the sensory profile of drip"
        " brew coffee",
        "Sci. Rep. 10:16450",
        "10.1038/s41598-020-73341-4",
        "heat is a route to extraction, not a taste of its own",
    ),
    # The draining bed
    "mo-2023": Source(
        "Mo, C., Johnston, R., Navarini, L., Suggi Liverani, F. & Ellero, M.",
        2023,
        "Exploring the link between coffee matrix microstructure and flow properties using combined X-ray"
        " microtomography and smoothed particle hydrodynamics simulations",
        "Sci. Rep. 13:16374",
        "10.1038/s41598-023-42380-y",
        "share of fines and Sauter mean of a drip grind",
    ),
    "lee-chang-2026": Source(
        "Lee & Chang",
        2026,
        "(title not at hand)",
        "npj Sci. Food",
        "10.1038/s41538-026-01074-1",
        "drained times the two fitted numbers rest on",
    ),
    "wadsworth-2026": Source(
        "Wadsworth, F. B. et al.",
        2026,
        "(title not at hand)",
        "R. Soc. Open Sci. 13:252031",
        note="permeability of loose grounds",
    ),
    # Sieves, tasting
    "astm-e11": Source(
        "ASTM International",
        2022,
        "E11: Standard specification for woven wire test sieve cloth and test sieves",
        "ASTM",
        note="sieve numbers and their openings",
    ),
    "iso-3310-1": Source(
        "International Organization for Standardization",
        2016,
        "ISO 3310-1: Test sieves, part 1: Test sieves of metal wire cloth",
        "ISO, Geneva",
        note="sieve openings",
    ),
    "iso-4120": Source(
        "International Organization for Standardization",
        2021,
        "ISO 4120: Sensory analysis, methodology, triangle test",
        "ISO, Geneva",
        note="fewest right answers of a triangle test",
    ),
    "williams-1949": Source(
        "Williams",
        1949,
        "Experimental designs balanced for the estimation of residual effects of treatments",
        "Aust. J. Sci. Res. A 2:149, from memory",
        note="order of cups",
    ),
    # Safety
    "cpsc-scalds": Source(
        "US Consumer Product Safety Commission",
        2012,
        "Avoiding tap water scalds",
        "CPSC publication 5098",
        note="seconds until hot water burns an adult's skin; wording from memory",
    ),
    "moritz-henriques-1947": Source(
        "Moritz, A. R. & Henriques, F. C.",
        1947,
        "Studies of thermal injury II: the relative importance of time and surface temperature in the causation of"
        " cutaneous burns",
        "Am. J. Pathol. 23(5):695-720",
        note="origin of the scald times; from memory",
    ),
    "iarc-116": Source(
        "International Agency for Research on Cancer",
        2018,
        "Drinking coffee, mate, and very hot beverages",
        "IARC Monographs vol. 116",
        note="drinks hotter than 65 degrees C; from memory",
    ),
    "niosh-coffee": Source(
        "US National Institute for Occupational Safety and Health",
        2019,
        "Coffee roasting and packaging facilities: preventing exposure to gases",
        "NIOSH",
        note="carbon monoxide and carbon dioxide from roasted and ground coffee",
    ),
}
