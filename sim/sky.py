"""What comes down from the sky: irradiance and illuminance, clear and clouded."""

import math
from dataclasses import dataclass

BEAM_EFFICACY_LM_W = (70.0, 95.0)
"""Of direct sunlight, low sun and high sun (Littlefair 1988, Lighting Res. Technol. 20)."""
DIFFUSE_EFFICACY_LM_W = (115.0, 144.0)
"""Of an overcast and of a clear sky (the same)."""
TWILIGHT_LX = 400.0
"""At sunset under a clear sky (lighting tables)."""
_NO_SUN_BELOW_DEG = -12.0


def air_mass(elevation_deg: float) -> float:
    """Return how many atmospheres the sun's light passes, 1 at the zenith.

    Args:
        elevation_deg: height of the sun, 0 to 90.

    Source: Kasten & Young 1989, Appl. Opt. 28.
    """
    return 1.0 / (math.sin(math.radians(elevation_deg)) + 0.50572 * math.pow(elevation_deg + 6.07995, -1.6364))


def clear_global_wm2(elevation_deg: float) -> float:
    """Return irradiance on level ground under a clear sky, W/m², from the sun's elevation (Haurwitz 1945)."""
    height = math.sin(math.radians(elevation_deg))
    return 1098.0 * height * math.exp(-0.059 / height) if height > 0.0 else 0.0


def clear_beam_wm2(elevation_deg: float) -> float:
    """Return clear-sky direct irradiance on a surface that faces the sun, W/m²; at the horizon no more than the global.

    Source: Meinel & Meinel 1976, Applied Solar Energy: 1,353 · 0.7^(air mass^0.678).
    """
    if elevation_deg <= 0.0:
        return 0.0
    free_wm2 = 1353.0 * math.pow(0.7, math.pow(air_mass(elevation_deg), 0.678))
    return min(free_wm2, clear_global_wm2(elevation_deg) / math.sin(math.radians(elevation_deg)))


@dataclass(frozen=True, slots=True)
class Sky:
    """What comes down just now.

    Args:
        beam_wm2: direct, on a surface that faces the sun.
        diffuse_wm2: from the rest of the sky, on level ground.
        global_wm2: both, on level ground.
        beam_lx, diffuse_lx, global_lx: the same as light.
    """

    beam_wm2: float
    diffuse_wm2: float
    global_wm2: float
    beam_lx: float
    diffuse_lx: float
    global_lx: float


DARK = Sky(0.0, 0.0, 0.0, 0.0, 0.0, 0.0)


def sky(elevation_deg: float, cover: float, *, sun_covered: bool) -> Sky:
    """Return what comes down through a partly covered sky.

    The direct part is all there or blocked, as the sun stands free or behind a cloud; the diffuse part is what makes
    the mean over free and blocked sun the global irradiance of the cover.

    Args:
        elevation_deg: height of the sun, −90 to 90.
        cover: share of the sky that is covered, 0 to 1.
        sun_covered: whether a cloud stands before the sun.

    Source: Kasten & Czeplak 1980, Solar Energy 24: global falls by 0.75 · cover^3.4.
    """
    if elevation_deg < _NO_SUN_BELOW_DEG:
        return DARK
    height = max(0.0, math.sin(math.radians(elevation_deg)))
    clear_wm2 = clear_global_wm2(elevation_deg)
    free_beam_wm2 = clear_beam_wm2(elevation_deg)
    mean_beam_wm2 = (1.0 - cover) * free_beam_wm2 * height
    diffuse_wm2 = max(0.0, clear_wm2 * (1.0 - 0.75 * cover**3.4) - mean_beam_wm2)
    diffuse_lx = diffuse_wm2 * _between(DIFFUSE_EFFICACY_LM_W, 1.0 - cover)
    diffuse_lx += TWILIGHT_LX * (1.0 - 0.75 * cover) * 10.0 ** (0.345 * min(0.0, elevation_deg))
    beam_wm2 = 0.0 if sun_covered else free_beam_wm2
    beam_lx = beam_wm2 * _between(BEAM_EFFICACY_LM_W, math.sqrt(height))
    return Sky(
        beam_wm2,
        diffuse_wm2,
        beam_wm2 * height + diffuse_wm2,
        beam_lx,
        diffuse_lx,
        beam_lx * height + diffuse_lx,
    )


def _between(ends: tuple[float, float], share: float) -> float:
    return ends[0] + share * (ends[1] - ends[0])
