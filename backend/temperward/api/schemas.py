"""What comes in and goes out, described once: OpenAPI document and phone types are drawn from here."""

from __future__ import annotations

from typing import Any
from zoneinfo import available_timezones

from marshmallow import EXCLUDE, INCLUDE, Schema, ValidationError, fields, validate

from temperward.api.entry_schema import entry_schema, row_schema
from temperward.services.envelope import ROLES, SAFE_INTEGER
from temperward.services.exchange import FIRST_PROTOCOL
from temperward.services.sync import MOST_ENTRIES, MOST_ROWS

NAME = validate.Length(min=1, max=80)


def plain_text(text: str) -> None:
    """Refuse the sign that databases end a text with, and half a character."""
    if "\x00" in text or any("\ud800" <= letter <= "\udfff" for letter in text):
        raise ValidationError("plain_text")


def known_zone(name: str) -> None:
    """Refuse a time zone that is on no list."""
    if name not in available_timezones():
        raise ValidationError("unknown_zone")


def strict_integer(*, low: int, high: int = SAFE_INTEGER, **more: Any) -> fields.Integer:
    """Return a whole-number field with its range."""
    return fields.Integer(strict=True, validate=validate.Range(min=low, max=high), **more)


def instant(*, allow_none: bool = False) -> fields.Integer:
    """Return a field that holds an instant."""
    text = {"description": "milliseconds since 1970, UTC"}
    return fields.Integer(required=True, allow_none=allow_none, metadata=text)


class Problem(Schema):
    """Any error."""

    code = fields.Integer(required=True)
    status = fields.String(required=True)
    message = fields.String(required=True, metadata={"description": "word id"})
    errors = fields.Dict(required=True, metadata={"description": "facts that fill its sentence"})


def known_shop() -> fields.String:
    """Return the field in which a phone names the shop whose log it holds: it only ever refuses."""
    text = {"description": "the shop whose log the phone holds: another one is refused"}
    return fields.String(load_default=None, allow_none=True, validate=validate.Length(max=64), metadata=text)


class JoinRequest(Schema):
    """A phone asks to be let in."""

    code = fields.String(required=True, validate=[validate.Length(min=1, max=40), plain_text])
    device_name = fields.String(required=True, validate=[NAME, plain_text])
    shop_id = known_shop()


class ClaimRequest(JoinRequest):
    """The first phone of a new shop."""

    shop_name = fields.String(required=True, validate=[NAME, plain_text])
    zone = fields.String(required=True, validate=known_zone, metadata={"description": "IANA name"})


class MeAnswer(Schema):
    """Who this device is, as the server sees it."""

    device_id = fields.String(required=True)
    device_name = fields.String(required=True)
    role = fields.String(required=True, validate=validate.OneOf(ROLES))
    shop_id = fields.String(required=True)
    shop_name = fields.String(required=True)
    zone = fields.String(required=True)
    epoch = fields.String(required=True)
    now_ms = instant()


class JoinCodeRequest(Schema):
    """What the next device may do."""

    role = fields.String(load_default="smith", validate=validate.OneOf(ROLES))


class JoinCodeAnswer(Schema):
    """A code to be typed, with its end."""

    code = fields.String(required=True)
    expires_ms = instant()


class DeviceAnswer(Schema):
    """A device of this shop."""

    device_id = fields.String(required=True)
    name = fields.String(required=True)
    role = fields.String(required=True)
    joined_ms = instant()
    seen_ms = instant()
    revoked_ms = instant(allow_none=True)


class AsTheyCame(fields.List[Any]):
    """A list whose members are judged later, each by itself: here it only has to be a list."""

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> list[Any]:
        del attr, data, kwargs
        if not isinstance(value, list):
            raise self.make_error("invalid")
        return value


class SyncRequest(Schema):
    """Entries offered and a cursor to go on from."""

    class Meta:
        """A newer phone may say more than we read."""

        unknown = EXCLUDE

    epoch = fields.String(load_default=None, allow_none=True, validate=validate.Length(max=64))
    shop_id = known_shop()
    protocol = strict_integer(
        low=0,
        load_default=FIRST_PROTOCOL,
        metadata={"description": "what the phone speaks; too old is a 426"},
    )
    since = strict_integer(low=0, load_default=0)
    want = strict_integer(low=1, high=MOST_ROWS, load_default=MOST_ENTRIES)
    entries = AsTheyCame(
        fields.Raw(allow_none=True, metadata=entry_schema()),
        load_default=list,
        validate=validate.Length(max=MOST_ENTRIES),
    )


class ResultAnswer(Schema):
    """What became of one offered entry."""

    index = fields.Integer(required=True)
    id = fields.String(required=True, allow_none=True)
    status = fields.String(required=True, validate=validate.OneOf(("stored", "had", "refused")))
    reason = fields.String(
        validate=validate.OneOf(("not_an_object", "bad_envelope", "too_big", "other_body", "not_allowed"))
    )
    field = fields.String()
    seq = fields.Integer()
    skewed = fields.Boolean(metadata={"description": "the phone's clock is wrong; stored as it was said"})


class SyncAnswer(Schema):
    """What became of each, and the next rows."""

    epoch = fields.String(required=True)
    now_ms = instant()
    results = fields.List(fields.Nested(ResultAnswer), required=True)
    rows = fields.List(fields.Raw(metadata=row_schema()), required=True)
    next_since = fields.Integer(required=True)
    more = fields.Boolean(required=True)


class PartHeaders(Schema):
    """Where a part of a photo belongs."""

    class Meta:
        """Requests carry other headers too."""

        unknown = EXCLUDE

    upload_offset = fields.Integer(
        required=True, data_key="Upload-Offset", validate=validate.Range(min=0, max=SAFE_INTEGER)
    )
    upload_length = fields.Integer(
        required=True, data_key="Upload-Length", validate=validate.Range(min=1, max=SAFE_INTEGER)
    )


class PhotoQuery(Schema):
    """Which copy."""

    small = fields.Boolean(load_default=False, metadata={"description": "the small copy"})


class PhotoProgress(Schema):
    """How much of a photo is here."""

    sha256 = fields.String(required=True)
    offset = fields.Integer(required=True)
    complete = fields.Boolean(required=True)


class PushKeyAnswer(Schema):
    """The key a phone subscribes with, or why there is none."""

    public_key = fields.String(required=True, allow_none=True)
    why_not = fields.String(required=True, allow_none=True)


class PushKeys(Schema):
    """A phone's own keys."""

    p256dh = fields.String(required=True, validate=validate.Length(min=1, max=128))
    auth = fields.String(required=True, validate=validate.Length(min=1, max=64))


class PushRequest(Schema):
    """Where this device takes push messages, as its browser says it."""

    class Meta:
        """Browsers add expirationTime and the like."""

        unknown = EXCLUDE

    endpoint = fields.String(required=True, validate=validate.Length(min=1, max=2000))
    keys = fields.Nested(PushKeys(unknown=EXCLUDE), required=True)


class PushForget(Schema):
    """Where this device no longer takes push messages."""

    endpoint = fields.String(required=True, validate=validate.Length(min=1, max=2000))


class PushAnswer(Schema):
    """The subscription is kept."""

    endpoint_id = fields.String(required=True)


class EraseRequest(Schema):
    """What is to be erased."""

    what = fields.String(required=True, validate=validate.OneOf(("entry", "photo", "log")))
    id = fields.String(required=True, validate=validate.Length(min=1, max=64))


class EraseAnswer(Schema):
    """How many entries lost their words."""

    entries = fields.Integer(required=True)


class AskAnswer(Schema):
    """The engine's answer."""

    api = fields.Integer(required=True)
    question = fields.String(required=True)
    answer = fields.Raw(required=True, allow_none=True)


class HealthAnswer(Schema):
    """The server is up."""

    ok = fields.Boolean(required=True)
    version = fields.String(required=True)


class FactsRequest(Schema):
    """The facts of a question; which ones, the engine says."""

    class Meta:
        """The engine refuses by name what it does not know."""

        unknown = INCLUDE
