"""Shoe sizes read from the words of a designer."""

from __future__ import annotations

import re
from math import floor
from typing import Final

from charts.shoe_sizes import SCALES, YOUTH_FROM, ShoeSize, SizeSystem, Wearer, size_words

SIZE_FORMS: Final = (
    'a shoe size such as "EU 38", "UK 5", "US men 9.5", "US women 8", "child UK 10", '
    '"child US 10", "US youth 2" or "mondopoint 240"'
)
"""What may be written, for messages."""


class SizeWordsError(ValueError):
    """A text that names no size."""

    def __init__(self, what: str, allowed: str, suggestion: str = "") -> None:
        self.what = what
        """What is wrong, without a full stop."""
        self.allowed = allowed
        self.suggestion = suggestion
        """What to write instead; empty if nothing can be guessed."""
        text = f"{what}; allowed: {allowed}"
        super().__init__(f"{text}; try: {suggestion}" if suggestion else text)


_REGIONS: Final = {"eu": "EU", "uk": "UK", "us": "US", "mondopoint": "mondopoint"}
_WEARERS: Final = {
    "men": "men",
    "man": "men",
    "women": "women",
    "woman": "women",
    "child": "child",
    "children": "child",
    "kid": "child",
    "youth": "youth",
    "junior": "youth",
}
_FILLERS: Final = frozenset({"size", "shoe", "mm"})
_FRACTIONS: Final = {"½": " 1/2", "⅓": " 1/3", "⅔": " 2/3"}
_CHUNK: Final = re.compile(r"-?[0-9][0-9.,/]*(?: +[0-9]+/[0-9]+)?")
"""Anything that looks like a number; `_NUMBER` is one of a shoe size."""
_NUMBER: Final = re.compile(r"([0-9]{1,3})(?:\.([0-9]{1,3})| +([12])/([23]))?")


def read_shoe_size(text: str) -> ShoeSize:
    """The size that the words name, in any order and case.

    Raises SizeWordsError for anything else: no system, no wearer for a US size, a size that is
    not sold.

    >>> read_shoe_size("US men 9.5").text, read_shoe_size("UK child 10").text
    ('US men 9.5', 'child UK 10')
    >>> read_shoe_size("Women's UK 5½").wearer
    <Wearer.WOMAN: 'woman'>
    """
    plain = text.lower().replace("’", "'")
    for sign, written in _FRACTIONS.items():
        plain = plain.replace(sign, written)
    chunks = list(_CHUNK.finditer(plain))
    if len(chunks) != 1:
        raise SizeWordsError("a shoe size needs one number", SIZE_FORMS)
    chunk = chunks[0]
    size = _number(chunk.group())
    words = re.sub(r"[,;:()]", " ", plain[: chunk.start()] + " " + plain[chunk.end() :]).split()
    region, wearer = _words(words, size)
    return _checked(region, wearer, size)


def _words(words: list[str], size: float) -> tuple[str, str]:
    """The region and the wearer, empty where not named."""
    region = wearer = ""
    for word in words:
        plain = re.sub(r"('s|s'|s)$", "", word) if word not in _REGIONS else word
        if word in _REGIONS and region in ("", _REGIONS[word]):
            region = _REGIONS[word]
        elif plain in _WEARERS and wearer in ("", _WEARERS[plain]):
            wearer = _WEARERS[plain]
        elif word not in _FILLERS:
            meant = next((name for key, name in _REGIONS.items() if word.startswith(key)), "")
            again = f"{meant} {size_words(size)}" if meant else ""
            raise SizeWordsError(f"'{word[:20]}' is no word of a shoe size", SIZE_FORMS, again)
    return region, wearer


def _checked(region: str, wearer: str, size: float) -> ShoeSize:
    number = size_words(size)
    if not region:
        both = f'"child UK {number}" or "child US {number}"'
        again = both if wearer == "child" else f'"EU {number}"'
        raise SizeWordsError("a shoe size needs its system", SIZE_FORMS, again)
    if region == "US" and not wearer:
        again = f'"US men {number}" or "US women {number}"'
        raise SizeWordsError(
            "a US size needs men, women, child or youth beside it", SIZE_FORMS, again
        )
    person = {
        "men": Wearer.MAN,
        "women": Wearer.WOMAN,
        "child": Wearer.CHILD,
        "youth": Wearer.CHILD,
        "": None,
    }[wearer]
    if region == "US":
        system = {
            "men": SizeSystem.US_MEN,
            "women": SizeSystem.US_WOMEN,
        }.get(wearer, SizeSystem.US_CHILD)
        shown = "US youth" if wearer == "youth" else system.value
        top = YOUTH_FROM + 0.5 if wearer == "child" else SCALES[system].most
        count_on = YOUTH_FROM if wearer == "youth" else 0
    else:
        child = region == "UK" and wearer == "child"
        system = SizeSystem.UK_CHILD if child else SizeSystem(region)
        shown, top, count_on = system.value, SCALES[system].most, 0
    least, most = 1 if count_on else SCALES[system].least, top - count_on
    _check_sold(system, shown, size, least, most)
    return ShoeSize(system, size + count_on, person)


def _check_sold(system: SizeSystem, shown: str, size: float, least: float, most: float) -> None:
    scale = SCALES[system]
    allowed = f"{shown} {size_words(least)} to {size_words(most)}"
    if not least <= size <= most:
        again = ""
        if system is SizeSystem.MONDOPOINT and least <= 10 * size <= most:
            again = f'"mondopoint {size_words(10 * size)}": the foot in millimetres'
        elif system is SizeSystem.UK_CHILD and size > YOUTH_FROM:
            again = f'"UK {size_words(size - YOUTH_FROM)}": child sizes end at 13 1/2'
        elif system is SizeSystem.US_CHILD and size > YOUTH_FROM:
            again = f'"US youth {size_words(size - YOUTH_FROM)}": child sizes end at 13 1/2'
        raise SizeWordsError(f"there is no {shown} {size_words(size)}", allowed, again)
    parts = (2, 3) if system is SizeSystem.EU else (2,)
    if not any(abs(size * part - round(size * part)) < 0.02 for part in parts):
        half = floor(size / scale.step + 0.5) * scale.step
        again = f"{shown} {size_words(min(max(half, least), most))}"
        raise SizeWordsError(f"{shown} {size_words(size)} is not sold", allowed, again)


def _number(text: str) -> float:
    found = _NUMBER.fullmatch(text)
    if found is None:
        point = text.replace(",", ".")
        again = point if "," in text and _NUMBER.fullmatch(point) else ""
        allowed = 'a number such as "9", "9.5" or "9 1/2"'
        raise SizeWordsError(f"'{text[:20]}' is no number of a shoe size", allowed, again)
    whole, decimals, top, bottom = found.groups()
    if decimals:
        value = float(f"{whole}.{decimals}")
        # Thirds of an EU size are printed as .33 or .67.
        third = round(value * 3) / 3
        return third if abs(third - value) < 0.005 else value
    return int(whole) + (int(top) / int(bottom) if top else 0)
