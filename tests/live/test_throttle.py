"""Messages and guesses are counted by a clock that the test holds."""

from ramstill.live.throttle import Allowance, Guesses


def test_an_allowance_is_used_up_and_comes_back() -> None:
    allowed = Allowance(10.0, 10.0)
    assert [allowed.take(0.0) for _ in range(11)] == [True] * 10 + [False]
    assert not allowed.take(0.05)
    assert allowed.take(0.11)
    assert not allowed.take(0.12)
    assert [allowed.take(1e6) for _ in range(11)] == [True] * 10 + [False]  # never more than `most`


def test_a_clock_that_stands_still_gives_nothing_back() -> None:
    allowed = Allowance(1.0, 1.0)
    assert allowed.take(5.0)
    assert not allowed.take(5.0)
    assert allowed.wait_s(5.0) == 1.0


def test_an_address_that_guesses_waits_and_may_try_again() -> None:
    guesses = Guesses(most=5, every_s=12.0)
    for _ in range(5):
        assert guesses.wait_s("a", 0.0) == 0.0
        guesses.wrong("a", 0.0)
    assert guesses.wait_s("a", 0.0) == 12.0
    assert guesses.wait_s("b", 0.0) == 0.0
    assert guesses.wait_s("a", 12.5) == 0.0


def test_all_together_are_slowed_but_nobody_is_shut_out_by_others() -> None:
    guesses = Guesses(most=5, every_s=12.0, most_of_all=20, per_s_of_all=0.5)
    for n in range(20):
        guesses.wrong(f"address {n}", 0.0)
    assert guesses.wait_s("address 3", 0.0) == 2.0  # has four of its own left, and waits for all
    assert guesses.wait_s("new here", 0.0) == 0.0


def test_what_is_remembered_does_not_grow() -> None:
    guesses = Guesses(remembered=10)
    for n in range(1000):
        guesses.wrong(f"address {n}", float(n))
    assert len(guesses._by) == 10
