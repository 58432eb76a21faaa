"""Class words: plain, enough of them, and read as people type them."""

from ramstill.live.words import as_typed, new_word, plain_words


def test_the_list_is_plain_words_each_once() -> None:
    words = plain_words()
    assert len(set(words)) == len(words) >= 350
    assert list(words) == sorted(words)
    assert all(
        word.isascii() and word.isalpha() and word.islower() and 3 <= len(word) <= 10 for word in words
    )


def test_a_word_is_two_of_them() -> None:
    made = {new_word() for _ in range(200)}
    assert len(made) > 190  # of some 130,000: more than a few alike would be no chance
    for word in made:
        first, second = word.split(" ")
        assert first != second
        assert {first, second} <= set(plain_words())


def test_it_is_read_as_it_may_be_typed() -> None:
    for typed in ("Acorn Willow", " acorn  willow. ", "ACORN-WILLOW", "acorn\twillow"):
        assert as_typed(typed) == "acorn willow"
