"""Flow and blow-down from libraries: a formula, its unit, the value.

fluids: ISO 5167 expansibility of a nozzle and the API 520 area of a choked one.
scipy: mass and energy balance of a room, integrated."""

from math import pi, sqrt

from fluids import API520_A_g, P_critical_flow, nozzle_expansibility
from scipy.integrate import solve_ivp

K, R = 1.4, 287.05
AMBIENT = 101325.0


def row(formula, unit, value):
    print(f"{formula}\t{unit}\t{value:.12g}")


row("critical_ratio() * 1 bar absolute", "Pa", P_critical_flow(1e5, K))

T = 293.15
for r in [0.6, 0.7, 0.8, 0.9, 0.95]:
    p1 = 9e5
    eps = nozzle_expansibility(D=1.0, Do=1e-9, P1=p1, P2=r * p1, k=K)
    area = 1e-6
    flow = area * eps * sqrt(2 * p1 / (R * T) * (p1 - r * p1))
    row(f"orifice_flow(1 mm2, 9 bar absolute, {r} * 9 bar absolute)", "kg/s", flow)

# One kilogram an hour through an ideal nozzle: its area in square metres.
area = API520_A_g(m=1 / 3600, T=T, Z=1.0, MW=8314.462618 / R, k=K, P1=9e5, P2=1e5, Kd=1, Kb=1, Kc=1)
row("1 kg/h / (choked_flow(1 mm2, 9 bar absolute) / 1 mm2)", "m2", area)


def psi(r):
    critical = (2 / (K + 1)) ** (K / (K - 1))
    r = max(r, critical)
    return sqrt(2 * K / (K - 1) * (r ** (2 / K) - r ** ((K + 1) / K)))


def run(volume, area, cd, p0, t0, end, supply=None, isothermal=False):
    """Time until the pressure in the room is `end`; mass and temperature are the state."""

    def rates(_, state):
        m, t = state
        p = m * R * t / volume
        if supply is None:
            flow = -cd * area * p / sqrt(R * t) * psi(min(AMBIENT / p, 1.0))
            enthalpy_t = t
        else:
            flow = cd * area * supply / sqrt(R * t0) * psi(min(p / supply, 1.0))
            enthalpy_t = t0
        if isothermal:
            return [flow, 0.0]
        # m cv dT/dt = flow (cp T_in - cv T)
        return [flow, flow * (K * enthalpy_t - t) / m]

    def reached(_, state):
        return state[0] * R * state[1] / volume - end

    reached.terminal = True
    result = solve_ivp(
        rates, [0, 10], [p0 * volume / (R * t0), t0], method="DOP853", rtol=1e-11, atol=1e-16, events=reached
    )
    return result.t_events[0][0]


for d in [0.8, 1.5]:
    for end in [6.0, 3.0, 1.6, 1.2]:
        for isothermal in [False, True]:
            name = "vent_time_isothermal" if isothermal else "vent_time_adiabatic"
            t = run(22e-6, pi / 4 * d * d * 1e-6, 0.7, 10e5, 298.15, end * 1e5, isothermal=isothermal)
            formula = f"{name}(22 cm3, circle_area({d} mm), 10 bar absolute, {end} bar absolute, 0.7, 25 °C)"
            row(formula, "s", t)
    for end in [4.0, 7.0, 9.5]:
        name = "fill_time_isothermal"
        t = run(22e-6, pi / 4 * d * d * 1e-6, 0.7, 2e5, 298.15, end * 1e5, supply=10e5, isothermal=True)
        formula = (
            f"{name}(22 cm3, circle_area({d} mm), 10 bar absolute, 2 bar absolute, {end} bar absolute, 0.7, 25 °C)"
        )
        row(formula, "s", t)
        t = run(22e-6, pi / 4 * d * d * 1e-6, 0.7, 2e5, 298.15, end * 1e5, supply=10e5)
        row(formula.replace("_isothermal", "_adiabatic"), "s", t)
