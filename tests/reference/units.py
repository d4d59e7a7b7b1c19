"""Factors to SI of the units that pint knows: UCUM code, factor. Air told at a reference state is not among them.

inHg is left to NIST (conventional mercury); pint's mmHg is the conventional one, its torr is 101325/760 Pa."""

import pint

ureg = pint.UnitRegistry()
NAMES = {
    "m": "m", "km": "km", "dm": "dm", "cm": "cm", "mm": "mm", "um": "um", "nm": "nm",
    "[in_i]": "inch", "[ft_i]": "foot", "[yd_i]": "yard", "[mi_i]": "mile", "[mil_i]": "thou",
    "m2": "m**2", "cm2": "cm**2", "mm2": "mm**2", "[sin_i]": "inch**2", "[sft_i]": "foot**2",
    "m3": "m**3", "dm3": "dm**3", "cm3": "cm**3", "mm3": "mm**3", "L": "liter", "dL": "dl", "cL": "cl",
    "mL": "ml", "uL": "ul", "[cin_i]": "inch**3", "[cft_i]": "foot**3", "[gal_us]": "gallon",
    "[qt_us]": "quart", "[foz_us]": "fluid_ounce",
    "kg": "kg", "g": "g", "mg": "mg", "ug": "ug", "t": "tonne", "[lb_av]": "pound", "[oz_av]": "ounce",
    "[gr]": "grain",
    "s": "s", "ms": "ms", "us": "us", "min": "min", "h": "hour", "d": "day",
    "m/s": "m/s", "cm/s": "cm/s", "mm/s": "mm/s", "km/h": "km/hour", "[ft_i]/s": "foot/s",
    "[in_i]/s": "inch/s", "[mi_i]/h": "mile/hour", "m/s2": "m/s**2", "[ft_i]/s2": "foot/s**2",
    "[g]": "standard_gravity",
    "N": "N", "mN": "mN", "kN": "kN", "[lbf_av]": "pound_force", "[ozf_av]": "ounce_force",
    "kgf": "kilogram_force", "gf": "gram_force",
    "Pa": "Pa", "hPa": "hPa", "kPa": "kPa", "MPa": "MPa", "GPa": "GPa", "N/mm2": "N/mm**2", "bar": "bar",
    "mbar": "mbar", "[psi]": "psi", "k[psi]": "kpsi", "M[psi]": "Mpsi", "kgf/cm2": "kilogram_force/cm**2",
    "att": "technical_atmosphere", "atm": "atm", "Torr": "torr", "mm[Hg]": "mmHg",
    "J": "J", "mJ": "mJ", "kJ": "kJ", "W.h": "W*hour", "[ft_i].[lbf_av]": "foot*pound_force",
    "[Btu_IT]": "Btu_it", "W": "W", "kW": "kW", "[HP]": "horsepower",
    "N.m": "N*m", "N.cm": "N*cm", "N.mm": "N*mm", "mN.m": "mN*m", "[lbf_av].[ft_i]": "pound_force*foot",
    "[in_i].[lbf_av]": "inch*pound_force", "[in_i].[ozf_av]": "inch*ounce_force",
    "kgf.cm": "kilogram_force*cm",
    "N/mm": "N/mm", "N/cm": "N/cm", "N/m": "N/m", "kgf/mm": "kilogram_force/mm",
    "[lbf_av]/[in_i]": "pound_force/inch", "J/m2": "J/m**2", "kJ/m2": "kJ/m**2",
    "kg/s": "kg/s", "g/s": "g/s", "mg/s": "mg/s", "kg/h": "kg/hour", "kg/min": "kg/min", "g/min": "g/min",
    "[lb_av]/s": "pound/s", "[lb_av]/min": "pound/min", "[lb_av]/h": "pound/hour",
    "m3/s": "m**3/s", "m3/h": "m**3/hour", "m3/min": "m**3/min", "L/s": "liter/s", "L/min": "liter/min",
    "cm3/s": "cm**3/s", "[cft_i]/min": "foot**3/min", "[cft_i]/h": "foot**3/hour",
    "kg/m3": "kg/m**3", "g/cm3": "g/cm**3", "g/L": "g/liter", "[lb_av]/[cft_i]": "pound/foot**3",
    "J/(kg.K)": "J/(kg*K)", "uPa.s": "uPa*s", "K": "K", "[degR]": "degR", "K-1": "1/K",
    "%": "percent", "[ppth]": "permille", "[ppm]": "ppm", "deg": "degree", "rad": "radian", "Hz": "Hz", "kHz": "kHz",
    "{rev}/min": "1/min", "rad/s": "radian/s", "deg/s": "degree/s",
    "{turn}": "turn", "{turn}/s": "turn/s", "{turn}/min": "turn/min", "'": "arcminute", "''": "arcsecond",
    "[slug]": "slug", "dyn": "dyne", "[pdl]": "poundal", "cal_th": "calorie", "kcal_th": "kilocalorie", "kW.h": "kW*hour",
    "Pa.m3": "Pa*m**3", "bar.L": "bar*liter", "bar.cm3": "bar*cm**3", "[psi].[cin_i]": "psi*inch**3",
    "bar/s": "bar/s", "bar/min": "bar/min", "bar/h": "bar/hour", "mbar/min": "mbar/min",
    "[psi]/min": "psi/min", "[psi]/h": "psi/hour", "[psi]/s": "psi/s",
    "L/(min.bar)": "liter/min/bar", "[cft_i]/(min.[psi])": "foot**3/min/psi",
    "A": "A", "mA": "mA", "uA": "uA", "V": "V", "mV": "mV", "kV": "kV", "Ohm": "ohm", "mOhm": "milliohm",
    "kOhm": "kiloohm", "C": "coulomb", "A.h": "A*hour", "mA.h": "mA*hour", "lm": "lumen",
    "km/s": "km/s", "m/min": "m/min", "mm/min": "mm/min", "[in_i]/min": "inch/min", "mm/s2": "mm/s**2",
}
for code, name in NAMES.items():
    factor = ureg.Quantity(1, name).to_base_units()
    if code in ("{rev}/min",):
        factor = ureg.Quantity(1, name).to("1/s")
    print(f"{code}\t{factor.magnitude!r}")
