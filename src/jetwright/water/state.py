"""State of liquid water at jetting pressures: fits to IAPWS-95 and R12-08 that run plain or compiled.

Two ways to ask. A function of temperature and pressure answers for any state. `water_at` collapses the fits at one
temperature, and the functions whose name ends in `_of` answer from that with a short polynomial in pressure: they are
what a solver calls. Both read the same fits. Pressures are absolute; above 401 MPa the fits are held at 401 MPa.
Served: 0 to 60 °C and 0.08 to 401 MPa, checked by the caller.
"""

from dataclasses import dataclass
from math import exp, sqrt

from jetwright.kernel import kernel
from jetwright.water.fits import (
    boost_correction,
    fluidity_terms,
    jet_density_terms,
    jet_volume_terms,
    pump_volume_terms,
    pump_warming_terms,
    sound_terms,
    throttle_warming_terms,
    volume_terms,
)

ONE_BAR = 1e5  # Pa: the cold end of the fitted jets and the inlet of the fitted pumps


@kernel
def reduced_pressure(pressure: float) -> float:
    """Pressure as the fits count it: -1 at 0, 0 at 200 MPa, held at 401 MPa. [-]

    Parameters
    ----------
    pressure : float
        Absolute. [Pa]

    Examples
    --------
    >>> reduced_pressure(100e6)
    -0.5

    References
    ----------
    Our own convention.
    """
    return 1.005 if pressure > 4.01e8 else pressure * 5e-9 - 1.0


@kernel
def series(y: float, c0: float, c1: float, c2: float, c3: float, c4: float, c5: float) -> float:
    """Sum of a power series of degree 5, nested. [the unit of c0]

    Parameters
    ----------
    y : float
        Where. [-]
    c0, c1, c2, c3, c4, c5 : float
        The coefficients, the lowest power first. [any]

    Examples
    --------
    >>> series(2.0, 1.0, 1.0, 1.0, 0.0, 0.0, 1.0)
    39.0

    References
    ----------
    Horner's rule.
    """
    return c0 + y * (c1 + y * (c2 + y * (c3 + y * (c4 + y * c5))))


@kernel
def volume(temperature: float, pressure: float) -> float:
    """Specific volume of liquid water. [m³/kg]

    Parameters
    ----------
    temperature : float
        273.15 to 333.15. [K]
    pressure : float
        Absolute, 0.08e6 to 401e6. [Pa]

    Examples
    --------
    >>> f"{volume(293.15, 100.1e6):.4e}"
    '9.6185e-04'

    References
    ----------
    IAPWS R6-95(2018), as fitted by tools/fit_water.py.
    """
    c0, c1, c2, c3, c4, c5 = volume_terms(temperature)
    return series(reduced_pressure(pressure), c0, c1, c2, c3, c4, c5)


@kernel
def density(temperature: float, pressure: float) -> float:
    """Density of liquid water, within 0.05 %. [kg/m³]

    Parameters
    ----------
    temperature : float
        273.15 to 333.15. [K]
    pressure : float
        Absolute, 0.08e6 to 401e6. [Pa]

    Examples
    --------
    >>> f"{density(293.15, 100.1e6):.1f}"
    '1039.7'

    References
    ----------
    IAPWS R6-95(2018), as fitted by tools/fit_water.py.
    """
    return 1.0 / volume(temperature, pressure)


@kernel
def viscosity(temperature: float, pressure: float) -> float:
    """Dynamic viscosity of liquid water, within 1 %. [Pa s]

    Parameters
    ----------
    temperature : float
        273.15 to 333.15. [K]
    pressure : float
        Absolute, 0.08e6 to 401e6. [Pa]

    Examples
    --------
    >>> f"{1e3 * viscosity(293.15, 101325.0):.3f}"  # mPa s
    '1.002'

    References
    ----------
    IAPWS R12-08, as fitted by tools/fit_water.py.
    """
    c0, c1, c2, c3, c4, c5 = fluidity_terms(temperature)
    return 1.0 / series(reduced_pressure(pressure), c0, c1, c2, c3, c4, c5)


@kernel
def sound_speed(temperature: float, pressure: float) -> float:
    """Speed of sound in liquid water, within 0.1 %. [m/s]

    Parameters
    ----------
    temperature : float
        273.15 to 333.15. [K]
    pressure : float
        Absolute, 0.08e6 to 401e6. [Pa]

    Examples
    --------
    >>> f"{sound_speed(293.15, 100.1e6):.0f}"
    '1649'

    References
    ----------
    IAPWS R6-95(2018), as fitted by tools/fit_water.py.
    """
    c0, c1, c2, c3, c4, c5 = sound_terms(temperature)
    return series(reduced_pressure(pressure), c0, c1, c2, c3, c4, c5)


@kernel
def vapour_pressure(temperature: float) -> float:
    """Pressure at which water boils, within 0.1 %. [Pa]

    The saturation equation of Wagner and Pruß, written out; nothing is fitted here.

    Parameters
    ----------
    temperature : float
        273.15 to 647.096. [K]

    Examples
    --------
    >>> f"{vapour_pressure(298.15):.0f}"
    '3170'

    References
    ----------
    IAPWS SR1-86(1992), Saturation Properties of Ordinary Water Substance, equation 1.
    """
    t = 1.0 - temperature / 647.096
    root, cube = sqrt(t), t * t * t
    power = t * (-7.85951783 + 1.84408259 * root) + cube * (-11.7866497 + 22.6807411 * root)
    power += t * cube * (-15.9618719 + 1.80122502 * cube * root)
    return 22.064e6 * exp(power * 647.096 / temperature)


@kernel
def bulk_modulus_isothermal(temperature: float, pressure: float) -> float:
    """Isothermal bulk modulus of liquid water, within 2 %. [Pa]

    From the slope of the fitted specific volume.

    Parameters
    ----------
    temperature : float
        273.15 to 333.15. [K]
    pressure : float
        Absolute, 0.08e6 to 401e6. [Pa]

    Examples
    --------
    >>> f"{1e-9 * bulk_modulus_isothermal(293.15, 200.1e6):.2f}"  # GPa
    '3.40'

    References
    ----------
    IAPWS R6-95(2018), as fitted by tools/fit_water.py.
    """
    c0, c1, c2, c3, c4, c5 = volume_terms(temperature)
    y = reduced_pressure(pressure)
    slope = 5e-9 * series(y, c1, 2.0 * c2, 3.0 * c3, 4.0 * c4, 5.0 * c5, 0.0)
    return -series(y, c0, c1, c2, c3, c4, c5) / slope


@kernel
def bulk_modulus_isentropic(temperature: float, pressure: float) -> float:
    """Isentropic bulk modulus of liquid water, within 2 %. [Pa]

    Density times the speed of sound squared.

    Parameters
    ----------
    temperature : float
        273.15 to 333.15. [K]
    pressure : float
        Absolute, 0.08e6 to 401e6. [Pa]

    Examples
    --------
    >>> f"{1e-9 * bulk_modulus_isentropic(293.15, 101325.0):.2f}"  # GPa
    '2.19'

    References
    ----------
    IAPWS R6-95(2018), as fitted by tools/fit_water.py.
    """
    speed = sound_speed(temperature, pressure)
    return speed * speed / volume(temperature, pressure)


@kernel
def jet_speed(temperature: float, pressure: float, ambient: float) -> float:
    """Speed of water that expands without loss to the surroundings, within 0.1 %; 0 without overpressure. [m/s]

    The square root of twice the enthalpy let go on the isentrope. The isentrope's mean specific volume is the one down
    to 1 bar; taking it down to another ambient changes the speed by 3e-6 at most.

    Parameters
    ----------
    temperature : float
        Ahead of the opening, 273.15 to 333.15. [K]
    pressure : float
        Ahead of the opening, absolute, 0.08e6 to 401e6. [Pa]
    ambient : float
        Absolute, 0.08e6 to 0.1014e6. [Pa]

    Examples
    --------
    >>> f"{jet_speed(293.15, 100.1e6, 1e5):.1f}"
    '442.9'

    References
    ----------
    IAPWS R6-95(2018), as fitted by tools/fit_water.py.
    """
    c0, c1, c2, c3, c4, c5 = jet_volume_terms(temperature)
    fall = pressure - ambient
    return sqrt(2.0 * fall * series(reduced_pressure(pressure), c0, c1, c2, c3, c4, c5)) if fall > 0.0 else 0.0


@kernel
def jet_density(temperature: float, pressure: float, ambient: float) -> float:
    """Density of a jet's water at its cold end, within 0.05 %. [kg/m³]

    The isentrope may end below 0 °C. Corrected from 1 bar to the ambient pressure by the compressibility of cold water.

    Parameters
    ----------
    temperature : float
        Ahead of the opening, 273.15 to 333.15. [K]
    pressure : float
        Ahead of the opening, absolute, 0.08e6 to 401e6. [Pa]
    ambient : float
        Absolute, 0.08e6 to 0.1014e6. [Pa]

    Examples
    --------
    >>> f"{jet_density(293.15, 100.1e6, 1e5):.1f}"
    '998.6'

    References
    ----------
    IAPWS R6-95(2018), as fitted by tools/fit_water.py.
    """
    c0, c1, c2, c3, c4, c5 = jet_density_terms(temperature)
    at_1_bar = series(reduced_pressure(pressure), c0, c1, c2, c3, c4, c5)
    return at_1_bar * (1.0 + 4.6e-10 * (ambient - ONE_BAR))


@kernel
def enthalpy_rise(temperature: float, inlet: float, outlet: float) -> float:
    """Enthalpy that an ideal pump adds, on the isentrope from its inlet up, within 0.1 %. [J/kg]

    Parameters
    ----------
    temperature : float
        At the inlet, 273.15 to 333.15. [K]
    inlet : float
        Absolute, 0.08e6 to 5e6. [Pa]
    outlet : float
        Absolute, from the inlet's to 401e6. [Pa]

    Examples
    --------
    >>> f"{enthalpy_rise(293.15, 1e5, 100.1e6):.0f}"
    '98115'

    References
    ----------
    IAPWS R6-95(2018), as fitted by tools/fit_water.py.
    """
    c0, c1, c2, c3, c4, c5 = pump_volume_terms(temperature)
    boost = inlet - ONE_BAR
    whole = (outlet - ONE_BAR) * series(reduced_pressure(outlet), c0, c1, c2, c3, c4, c5)
    spared = boost * series(reduced_pressure(inlet), c0, c1, c2, c3, c4, c5)
    return (whole - spared) * (1.0 - boost * boost_correction(temperature))


@kernel
def pumped_temperature(temperature: float, inlet: float, outlet: float) -> float:
    """Temperature that an ideal pump leaves, on the isentrope from its inlet up, within 0.01 K. [K]

    Parameters
    ----------
    temperature : float
        At the inlet, 273.15 to 333.15. [K]
    inlet : float
        Absolute, 0.08e6 to 5e6. [Pa]
    outlet : float
        Absolute, from the inlet's to 401e6. [Pa]

    Examples
    --------
    >>> f"{pumped_temperature(293.15, 1e5, 100.1e6) - 293.15:.2f}"  # K warmer
    '1.97'

    References
    ----------
    IAPWS R6-95(2018), as fitted by tools/fit_water.py.
    """
    boost = inlet - ONE_BAR
    c0, c1, c2, c3, c4, c5 = pump_warming_terms(temperature)
    at_1_bar = temperature - boost * series(reduced_pressure(inlet), c0, c1, c2, c3, c4, c5)
    c0, c1, c2, c3, c4, c5 = pump_warming_terms(at_1_bar)
    return at_1_bar + (outlet - ONE_BAR) * series(reduced_pressure(outlet), c0, c1, c2, c3, c4, c5)


@kernel
def throttled_temperature(temperature: float, upstream: float, downstream: float) -> float:
    """Temperature behind a throttle, a hose or any loss that takes no work out; the rise is within 0.5 %. [K]

    Constant enthalpy: both states would end at one temperature if they were throttled to 1 bar, so that the fitted rise
    to 1 bar is enough; the temperature sought stands on both sides, which two passes and an extrapolation settle. Water
    from a very high pressure may end hotter than it boils at; it is then given as the liquid it is for a moment.

    Parameters
    ----------
    temperature : float
        Upstream, 273.15 to 355. [K]
    upstream : float
        Absolute, up to 401e6. [Pa]
    downstream : float
        Absolute, 0.08e6 up to the upstream one. [Pa]

    Examples
    --------
    >>> f"{throttled_temperature(293.15, 100.1e6, 1e5) - 293.15:.1f}"  # K warmer
    '21.6'

    References
    ----------
    IAPWS R6-95(2018), as fitted by tools/fit_water.py.
    """
    y = reduced_pressure(downstream)
    fall = downstream - ONE_BAR
    c0, c1, c2, c3, c4, c5 = throttle_warming_terms(temperature)
    at_1_bar = temperature + (upstream - ONE_BAR) * series(reduced_pressure(upstream), c0, c1, c2, c3, c4, c5)
    first = at_1_bar - fall * series(y, c0, c1, c2, c3, c4, c5)
    c0, c1, c2, c3, c4, c5 = throttle_warming_terms(first)
    second = at_1_bar - fall * series(y, c0, c1, c2, c3, c4, c5)
    # first - temperature is the rise as if the upstream temperature held: each pass changes the last by the same share
    share = (second - first) / (first - temperature) if first - temperature > 1e-6 else 0.0
    return first + (second - first) / (1.0 - share)


@dataclass(frozen=True, slots=True)
class Water:
    """The supply's water on its way through one rig: the fits collapsed at one temperature.

    temperature: of the supply [K]; ambient: absolute [Pa]; reference_density: at both, what a flow is counted in
    [kg/m³]. boost: the correction of a pump's work for its inlet pressure [1/Pa]. The numbered fields are power series
    in the reduced pressure: specific volume [m³/kg], fluidity [1/(Pa s)], mean specific volume of a jet's isentrope
    [m³/kg], density of a jet's cold end [kg/m³], mean specific volume of a pump's isentrope [m³/kg].
    """

    temperature: float
    ambient: float
    reference_density: float
    boost: float
    volume_0: float
    volume_1: float
    volume_2: float
    volume_3: float
    volume_4: float
    volume_5: float
    fluidity_0: float
    fluidity_1: float
    fluidity_2: float
    fluidity_3: float
    fluidity_4: float
    fluidity_5: float
    jet_volume_0: float
    jet_volume_1: float
    jet_volume_2: float
    jet_volume_3: float
    jet_volume_4: float
    jet_volume_5: float
    jet_density_0: float
    jet_density_1: float
    jet_density_2: float
    jet_density_3: float
    jet_density_4: float
    jet_density_5: float
    pump_volume_0: float
    pump_volume_1: float
    pump_volume_2: float
    pump_volume_3: float
    pump_volume_4: float
    pump_volume_5: float


def water_at(temperature: float, ambient: float) -> Water:
    """The water of one supply under one sky. [-]

    Parameters
    ----------
    temperature : float
        Of the supply, 273.15 to 333.15. [K]
    ambient : float
        Absolute, 0.08e6 to 0.1014e6. [Pa]

    Examples
    --------
    >>> f"{water_at(293.15, 101325.0).reference_density:.2f}"
    '998.21'

    References
    ----------
    IAPWS R6-95(2018) and R12-08, as fitted by tools/fit_water.py.
    """
    d0, d1, d2, d3, d4, d5 = jet_density_terms(temperature)
    to_ambient = 1.0 + 4.6e-10 * (ambient - ONE_BAR)
    return Water(
        temperature,
        ambient,
        density(temperature, ambient),
        boost_correction(temperature),
        *volume_terms(temperature),
        *fluidity_terms(temperature),
        *jet_volume_terms(temperature),
        to_ambient * d0,
        to_ambient * d1,
        to_ambient * d2,
        to_ambient * d3,
        to_ambient * d4,
        to_ambient * d5,
        *pump_volume_terms(temperature),
    )


@kernel
def volume_of(water: Water, pressure: float) -> float:
    """Specific volume of this water. [m³/kg]

    Parameters
    ----------
    water : Water
        From `water_at`. [-]
    pressure : float
        Absolute, 0.08e6 to 401e6. [Pa]

    Examples
    --------
    >>> f"{volume_of(water_at(293.15, 1e5), 100.1e6):.4e}"
    '9.6185e-04'

    References
    ----------
    As `volume`.
    """
    y = reduced_pressure(pressure)
    return water.volume_0 + y * (
        water.volume_1 + y * (water.volume_2 + y * (water.volume_3 + y * (water.volume_4 + y * water.volume_5)))
    )


@kernel
def density_of(water: Water, pressure: float) -> float:
    """Density of this water. [kg/m³]

    Parameters
    ----------
    water : Water
        From `water_at`. [-]
    pressure : float
        Absolute, 0.08e6 to 401e6. [Pa]

    Examples
    --------
    >>> f"{density_of(water_at(293.15, 1e5), 100.1e6):.1f}"
    '1039.7'

    References
    ----------
    As `density`.
    """
    return 1.0 / volume_of(water, pressure)


@kernel
def fluidity_of(water: Water, pressure: float) -> float:
    """One over the dynamic viscosity of this water. [1/(Pa s)]

    Parameters
    ----------
    water : Water
        From `water_at`. [-]
    pressure : float
        Absolute, 0.08e6 to 401e6. [Pa]

    Examples
    --------
    >>> f"{fluidity_of(water_at(293.15, 1e5), 1e5):.0f}"
    '998'

    References
    ----------
    As `viscosity`.
    """
    y = reduced_pressure(pressure)
    return water.fluidity_0 + y * (
        water.fluidity_1
        + y * (water.fluidity_2 + y * (water.fluidity_3 + y * (water.fluidity_4 + y * water.fluidity_5)))
    )


@kernel
def viscosity_of(water: Water, pressure: float) -> float:
    """Dynamic viscosity of this water. [Pa s]

    Parameters
    ----------
    water : Water
        From `water_at`. [-]
    pressure : float
        Absolute, 0.08e6 to 401e6. [Pa]

    Examples
    --------
    >>> f"{1e3 * viscosity_of(water_at(293.15, 1e5), 1e5):.3f}"  # mPa s
    '1.002'

    References
    ----------
    As `viscosity`.
    """
    return 1.0 / fluidity_of(water, pressure)


@kernel
def jet_speed_of(water: Water, pressure: float) -> float:
    """Speed of this water where it has expanded without loss to the surroundings; 0 without overpressure. [m/s]

    Parameters
    ----------
    water : Water
        From `water_at`. [-]
    pressure : float
        Ahead of the opening, absolute, 0.08e6 to 401e6. [Pa]

    Examples
    --------
    >>> f"{jet_speed_of(water_at(293.15, 1e5), 100.1e6):.1f}"
    '442.9'

    References
    ----------
    As `jet_speed`.
    """
    y = reduced_pressure(pressure)
    fall = pressure - water.ambient
    mean_volume = water.jet_volume_0 + y * (
        water.jet_volume_1
        + y * (water.jet_volume_2 + y * (water.jet_volume_3 + y * (water.jet_volume_4 + y * water.jet_volume_5)))
    )
    return sqrt(2.0 * fall * mean_volume) if fall > 0.0 else 0.0


@kernel
def jet_density_of(water: Water, pressure: float) -> float:
    """Density of this water where it has expanded without loss to the surroundings. [kg/m³]

    Parameters
    ----------
    water : Water
        From `water_at`. [-]
    pressure : float
        Ahead of the opening, absolute, 0.08e6 to 401e6. [Pa]

    Examples
    --------
    >>> f"{jet_density_of(water_at(293.15, 1e5), 100.1e6):.1f}"
    '998.6'

    References
    ----------
    As `jet_density`.
    """
    y = reduced_pressure(pressure)
    return water.jet_density_0 + y * (
        water.jet_density_1
        + y * (water.jet_density_2 + y * (water.jet_density_3 + y * (water.jet_density_4 + y * water.jet_density_5)))
    )


@kernel
def enthalpy_rise_of(water: Water, inlet: float, outlet: float) -> float:
    """Enthalpy that an ideal pump adds to this water. [J/kg]

    Parameters
    ----------
    water : Water
        From `water_at`. [-]
    inlet : float
        Absolute, 0.08e6 to 5e6. [Pa]
    outlet : float
        Absolute, from the inlet's to 401e6. [Pa]

    Examples
    --------
    >>> f"{enthalpy_rise_of(water_at(293.15, 1e5), 1e5, 100.1e6):.0f}"
    '98115'

    References
    ----------
    As `enthalpy_rise`.
    """
    c0, c1, c2 = water.pump_volume_0, water.pump_volume_1, water.pump_volume_2
    c3, c4, c5 = water.pump_volume_3, water.pump_volume_4, water.pump_volume_5
    boost = inlet - ONE_BAR
    whole = (outlet - ONE_BAR) * series(reduced_pressure(outlet), c0, c1, c2, c3, c4, c5)
    spared = boost * series(reduced_pressure(inlet), c0, c1, c2, c3, c4, c5)
    return (whole - spared) * (1.0 - boost * water.boost)
