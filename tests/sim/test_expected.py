from sim.expected import Expected, Raised, differences

COLD = Expected("cold", from_day=1.0, until_day=2.0)
STRAIN = Expected("strain", "comfrey-1", at_least=1, at_most=2)


def raised(kind: str, day: float, jar: str = "") -> Raised:
    return Raised(kind, jar, day * 86400.0)


def test_alerts_as_expected_differ_in_nothing() -> None:
    assert differences((COLD, STRAIN), [raised("cold", 1.5), raised("strain", 5.0, "comfrey-1")]) == ()


def test_an_alert_that_did_not_come_is_said() -> None:
    assert differences((COLD,), []) == ("cold: 0 came between day 1 and 2, expected 1.",)


def test_one_too_many_is_said() -> None:
    came = [raised("strain", day, "comfrey-1") for day in (1, 2, 3)]
    assert differences((STRAIN,), came) == (
        "strain for jar comfrey-1: 3 came between day 0 and 1e+09, expected 1 to 2.",
    )


def test_an_alert_out_of_time_of_another_kind_or_of_another_jar_is_a_stray() -> None:
    strays = [raised("cold", 0.5), raised("hot", 1.5), raised("strain", 1.0, "dandelion-1")]
    said = differences((Expected("cold", from_day=1.0, until_day=2.0, at_least=0), STRAIN), strays)
    assert said == (
        "strain for jar comfrey-1: 0 came between day 0 and 1e+09, expected 1 to 2.",
        "cold on day 0.50 was not expected.",
        "hot on day 1.50 was not expected.",
        "strain for jar dandelion-1 on day 1.00 was not expected.",
    )
