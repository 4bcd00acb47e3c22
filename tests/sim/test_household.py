from sim.household import Doings, Household, LivingHousehold

COOKS = Household(people=1.0, always_w=50.0, cooking_w=600.0, cooking_gh=300.0, airing_per_h=2.0, lamp_lx=150.0)
QUIET_W = 50.0 + 80.0


def a_day(seed: int = 1, day: int = 1, daylight_lx: float = 300.0) -> list[Doings]:
    household = LivingHousehold(COOKS, seed)
    return [household.at(day, minute / 60.0, daylight_lx) for minute in range(1440)]


def test_dinner_gives_heat_and_steam_in_the_evening() -> None:
    evening = a_day()[17 * 60 : 21 * 60]
    assert max(doing.heat_w for doing in evening) > QUIET_W + 300.0
    assert max(doing.moisture_gh for doing in evening) > 200.0


def test_people_sleep_at_night() -> None:
    assert all(doing.heat_w == 50.0 and doing.moisture_gh == 0.0 for doing in a_day()[: 5 * 60])


def test_the_window_is_opened_after_a_meal() -> None:
    day = a_day()
    aired = [minute for minute, doing in enumerate(day) if doing.airing_per_h > 0.0]
    assert aired
    assert all(any(day[before].heat_w > QUIET_W for before in range(minute - 30, minute)) for minute in aired)


def test_the_lamp_is_lit_only_while_someone_is_up_and_daylight_is_short() -> None:
    assert all(doing.lamp_lx == 0.0 for doing in a_day(daylight_lx=300.0))
    dark = a_day(daylight_lx=5.0)
    assert dark[21 * 60].lamp_lx == 150.0
    assert dark[2 * 60].lamp_lx == 0.0


def test_no_two_days_are_quite_alike_but_each_comes_again_with_its_seed() -> None:
    household = LivingHousehold(COOKS, 1)
    one, two = ([household.at(day, m / 60.0, 300.0) for m in range(1440)] for day in (1, 2))
    assert one != two
    assert a_day() == one
    assert a_day(seed=2) != one
