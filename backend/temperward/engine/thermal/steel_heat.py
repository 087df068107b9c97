"""Heat in steel: specific heat, enthalpy, conductivity, density."""

from __future__ import annotations

import math

DENSITY_KG_M3 = 7850.0  # en1993
COOLING_CP = (
    650.0  # J/kgK, austenite that has not changed, 850 to 250 degC (fromMemory; used without a spike)
)
CP_LEVEL_C = 900.0  # en1993: from here the specific heat is level
AIR_CHANGE_BEGINS_C, AIR_CHANGE_ENDS_C = 690.0, 600.0  # fromMemory: Ar1 in air
WARM_CP = 520.0  # J/kgK, below 300 degC (en1993: 490-565)
STEFAN_BOLTZMANN = 5.670374e-8  # W/m2K4 (definition)
EMISSIVITY = 0.8  # oxidised steel (radiation)


def conductivity_w_mk(temperature_c: float) -> float:
    """Conductivity of carbon steel: 54 - 0.0333 T below 800 degC, 27.3 above (en1993, from memory)."""
    return 54.0 - 0.0333 * temperature_c if temperature_c < 800.0 else 27.3


def enthalpy_j_kg(temperature_c: float) -> float:
    """Heat content above 0 degC on slow heating or cooling, the change included.

    Equation: the integral of cp = 425 + 0.773T - 1.69e-3T2 + 2.22e-6T3 to 600, 666 + 13002/(738-T) to 735,
    545 + 17820/(T-731) to 900, 650 above; written out, so that no step passes over the peak at 735. In: degC.
    >>> round((enthalpy_j_kg(850.0) - enthalpy_j_kg(20.0)) / 1000.0, 1)
    598.6

    Reference: en1993.
    """
    t = min(temperature_c, 600.0)
    total = t * (425.0 + t * (0.3865 + t * (-5.6333333333e-4 + t * 5.55e-7)))
    if temperature_c > 600.0:
        t = min(temperature_c, 735.0)
        total += 666.0 * (t - 600.0) + 13002.0 * math.log(138.0 / (738.0 - t))
    if temperature_c > 735.0:
        t = min(temperature_c, 900.0)
        total += 545.0 * (t - 735.0) + 17820.0 * math.log((t - 731.0) / 4.0)
    if temperature_c > 900.0:
        total += 650.0 * (temperature_c - 900.0)
    return total


def cooling_enthalpy_j_kg(temperature_c: float) -> float:
    """Heat content above 0 degC on the way down in still air, where steel changes later than it did going up.

    Equation: austenite of 650 J/kgK to 690 degC, its heat of change given off evenly to 600, enthalpy_j_kg
    below: the same heat in all, given off colder. In: degC. Valid to 1000.
    >>> [round((cooling_enthalpy_j_kg(900.0) - cooling_enthalpy_j_kg(c)) / 1000.0) for c in (718.0, 600.0)]
    [118, 296]

    Reference: en1993; that air cooling changes at 690-600 degC is fromMemory.
    """
    top = enthalpy_j_kg(CP_LEVEL_C)
    if temperature_c >= AIR_CHANGE_BEGINS_C:
        return top + COOLING_CP * (temperature_c - CP_LEVEL_C)
    if temperature_c <= AIR_CHANGE_ENDS_C:
        return enthalpy_j_kg(temperature_c)
    ends = enthalpy_j_kg(AIR_CHANGE_ENDS_C)
    begins = top + COOLING_CP * (AIR_CHANGE_BEGINS_C - CP_LEVEL_C)
    share = (temperature_c - AIR_CHANGE_ENDS_C) / (AIR_CHANGE_BEGINS_C - AIR_CHANGE_ENDS_C)
    return ends + share * (begins - ends)


def radiation_w_m2k(temperature_c: float, *, ambient_c: float, emissivity: float = EMISSIVITY) -> float:
    """Heat transfer by radiation as if it were convection.

    Equation: eps sigma (T2 + Ta2)(T + Ta), in kelvin.
    >>> round(radiation_w_m2k(800.0, ambient_c=20.0), 1)
    76.7

    Reference: radiation.
    """
    t, a = temperature_c + 273.15, ambient_c + 273.15
    return emissivity * STEFAN_BOLTZMANN * (t * t + a * a) * (t + a)
