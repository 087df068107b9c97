"""What the server says instead of an answer.

    TemperwardError
    |- BadSettings          a setting that cannot be used; the program does not start
    |- NotSignedIn          no device token, or one that is not known or was taken back
    |- NotAllowed           the device's role does not reach this far
    |- CrossSite            the request came from another site's page
    |- NotHere              nothing of that name in this shop
    |- BadCode              a joining code that is wrong, used or too old
    |- OtherShop            a code of another shop than the one whose log the phone holds
    |- TooManyTries         too many wrong codes; says when to try again
    |- UpgradeNeeded        the phone's program speaks an older protocol than this server understands
    |- BadJson              the body is not JSON we can read
    |- UnknownEncoding      a content type or encoding we do not take
    |- TooBig               more bytes, entries or pixels than we take
    |- EngineRefused        the engine's own refusal, passed on
    |- PhotoRefused
    |  |- WrongOffset       the part does not follow what is already there
    |  |- WrongHash         the bytes are not the ones that were named
    |  |- NotAPicture       cannot be decoded whole, or holds more than one picture
    |  `- CarriesMetadata   still holds a place, a serial number, a thumbnail or the like
    |- StoreFull            no room left where entries or photos are kept
    |- PushFailed           the push service did not take a test message
    |- BadSubscription      a push address or key that cannot be used
    `- BadBackup            a backup or export that does not prove itself

`word` is a short id, the same on the wire and in the words file; `facts` fill its sentence.
"""

from __future__ import annotations

from typing import Any


class TemperwardError(Exception):
    """The root: a word id and the facts that go with it."""

    word = "wrong"

    def __init__(self, word: str | None = None, **facts: Any) -> None:
        """Keep the parts; the default word is the class's own."""
        if word is not None:
            self.word = word
        self.facts = facts
        super().__init__(f"{self.word} {facts}" if facts else self.word)


class BadSettings(TemperwardError):
    """A setting that cannot be used."""

    word = "bad_settings"


class NotSignedIn(TemperwardError):
    """No device token, or one that is not known or was taken back."""

    word = "not_signed_in"


class NotAllowed(TemperwardError):
    """The device's role does not reach this far."""

    word = "not_allowed"


class CrossSite(TemperwardError):
    """The request came from another site's page."""

    word = "cross_site"


class NotHere(TemperwardError):
    """Nothing of that name in this shop; another shop's name looks exactly the same."""

    word = "not_here"


class BadCode(TemperwardError):
    """A joining code that is wrong, used or too old."""

    word = "bad_code"


class OtherShop(TemperwardError):
    """A code of another shop than the one whose log the phone holds; it is still good afterwards."""

    word = "other_shop"


class TooManyTries(TemperwardError):
    """Too many wrong codes from one address."""

    word = "too_many_tries"


class UpgradeNeeded(TemperwardError):
    """The phone's program is too old for this server; it pauses, keeps all, and asks for the new version."""

    word = "upgrade_needed"


class BadJson(TemperwardError):
    """The body is not JSON we can read."""

    word = "bad_json"


class UnknownEncoding(TemperwardError):
    """A content type or encoding we do not take."""

    word = "unknown_encoding"


class TooBig(TemperwardError):
    """More bytes, entries or pixels than we take."""

    word = "too_big"


class EngineRefused(TemperwardError):
    """The engine's own refusal, passed on with field, value, range and unit."""

    word = "engine_refused"


class PhotoRefused(TemperwardError):
    """The root of what can be wrong with a photo."""

    word = "photo_refused"


class WrongOffset(PhotoRefused):
    """The part does not follow what is already there."""

    word = "wrong_offset"


class WrongHash(PhotoRefused):
    """The bytes are not the ones that were named."""

    word = "wrong_hash"


class NotAPicture(PhotoRefused):
    """Cannot be decoded whole, or holds more than one picture."""

    word = "not_a_picture"


class CarriesMetadata(PhotoRefused):
    """Still holds a place, a serial number, a thumbnail or the like."""

    word = "carries_metadata"


class StoreFull(TemperwardError):
    """No room left where entries or photos are kept."""

    word = "store_full"


class BadSubscription(TemperwardError):
    """A push address or key that cannot be used."""

    word = "bad_subscription"


class PushFailed(TemperwardError):
    """The push service did not take a test message."""

    word = "push_failed"


class BadBackup(TemperwardError):
    """A backup or export that does not prove itself."""

    word = "bad_backup"
