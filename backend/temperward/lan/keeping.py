"""The authority's and the server's files in the data folder, and renewing the server's by itself.

The server reads its certificate anew for each connection, so a renewed file works without a restart; its key
stays the same, so the two files never disagree.
"""

from __future__ import annotations

import datetime as dt
import os
import socket
from pathlib import Path

from cryptography import x509
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives import serialization
from cryptography.hazmat.primitives.asymmetric import ec

from temperward.errors import BadSettings
from temperward.lan.addresses import Reach
from temperward.lan.authority import DAY, Authority, covered, make_authority, new_key, sign_server

RENEW_BEFORE = 60 * DAY
PRIVATE_FOLDER, PRIVATE_FILE, PUBLIC_FILE = 0o700, 0o600, 0o644


class LanFolder:
    """Three files: the authority with its key, the server's certificate, the server's key."""

    def __init__(self, data_dir: Path) -> None:
        """Take the data folder; nothing is made yet."""
        self.folder = data_dir / "lan"
        self.authority_file = self.folder / "authority.pem"
        self.server_file = self.folder / "server.pem"
        self.server_key_file = self.folder / "server-key.pem"

    def keep_current(self, *, reach: Reach, now: dt.datetime) -> bool:
        """Make what is missing and renew what is old or names too little; tell whether anything was made."""
        self.folder.mkdir(parents=True, exist_ok=True)
        self.folder.chmod(PRIVATE_FOLDER)
        authority = self._authority(now=now)
        if not self.server_key_file.exists():
            _write(self.server_key_file, _key_text(new_key()), mode=PRIVATE_FILE)
        key = _read_key(self.server_key_file).public_key()
        if self.server_file.exists():
            found = self.server()
            ours = found.public_key() == key and _signed_by(found, authority=authority)
            if ours and _lasts(found, now=now) and reach.all <= covered(found):
                return False
        signed = sign_server(authority, key=key, reach=reach, now=now)
        _write(self.server_file, _pem(signed) + _pem(authority.certificate), mode=PUBLIC_FILE)
        return True

    def authority_certificate(self) -> x509.Certificate:
        """Return the certificate that phones must trust."""
        return x509.load_pem_x509_certificate(self.authority_file.read_bytes())

    def server(self) -> x509.Certificate:
        """Return the server's own certificate."""
        return x509.load_pem_x509_certificates(self.server_file.read_bytes())[0]

    def _authority(self, *, now: dt.datetime) -> Authority:
        """Return the authority, made anew only where there is none or it has nearly run out."""
        if self.authority_file.exists():
            found = self.authority_certificate()
            if found.not_valid_after_utc - now > RENEW_BEFORE:
                return Authority(certificate=found, key=_read_key(self.authority_file))
        made = make_authority(title=f"Temperward {socket.gethostname()} {now:%Y-%m-%d}", now=now)
        _write(self.authority_file, _key_text(made.key) + _pem(made.certificate), mode=PRIVATE_FILE)
        return made


def _signed_by(found: x509.Certificate, *, authority: Authority) -> bool:
    try:
        found.verify_directly_issued_by(authority.certificate)
    except (InvalidSignature, ValueError):
        return False
    return True


def _lasts(found: x509.Certificate, *, now: dt.datetime) -> bool:
    return found.not_valid_before_utc <= now and now + RENEW_BEFORE < found.not_valid_after_utc


def _pem(certificate: x509.Certificate) -> bytes:
    return certificate.public_bytes(serialization.Encoding.PEM)


def _key_text(key: ec.EllipticCurvePrivateKey) -> bytes:
    return key.private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )


def _read_key(path: Path) -> ec.EllipticCurvePrivateKey:
    key = serialization.load_pem_private_key(path.read_bytes(), password=None)
    if not isinstance(key, ec.EllipticCurvePrivateKey):
        raise BadSettings("lan_key_of_another_kind", file=str(path))
    return key


def _write(path: Path, content: bytes, *, mode: int) -> None:
    """Write whole or not at all; a key is never readable by others, not even for a moment."""
    temporary = path.with_name(f"{path.name}.{os.getpid()}.new")
    temporary.unlink(missing_ok=True)
    handle = os.open(temporary, os.O_WRONLY | os.O_CREAT | os.O_EXCL, mode)
    with os.fdopen(handle, "wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())
    temporary.replace(path)
