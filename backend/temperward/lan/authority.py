"""The shop's own certificate authority: made once, allowed to speak for private names and addresses only."""

from __future__ import annotations

import datetime as dt
import ipaddress
from dataclasses import dataclass

from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from temperward.lan.addresses import PRIVATE_ENDINGS, PRIVATE_NETWORKS, Reach

DAY = dt.timedelta(days=1)
AUTHORITY_LIFE = 3652 * DAY
# iPhones take 825 days of an authority that their owner added (Apple Support 103769) and 398 of any other
# (102028, which advises 397): below both, whichever rule a phone goes by.
SERVER_LIFE = 397 * DAY
LONGEST_NAME = 64  # of a common name (RFC 5280, appendix A.1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Authority:
    """The authority's certificate and the key that must never leave this machine."""

    certificate: x509.Certificate
    key: ec.EllipticCurvePrivateKey


def new_key() -> ec.EllipticCurvePrivateKey:
    """Make a key that every phone can check."""
    return ec.generate_private_key(ec.SECP256R1())


def _name(text: str) -> x509.Name:
    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, text[:LONGEST_NAME])])


def _usage(*, signs_certificates: bool) -> x509.KeyUsage:
    return x509.KeyUsage(
        digital_signature=not signs_certificates,
        key_cert_sign=signs_certificates,
        crl_sign=signs_certificates,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        encipher_only=False,
        decipher_only=False,
    )


def _constraints() -> x509.NameConstraints:
    """Say what the authority may speak for: its key could never pass for a bank (RFC 5280, 4.2.1.10)."""
    names = [x509.DNSName(ending) for ending in PRIVATE_ENDINGS]
    addresses = [x509.IPAddress(network) for network in PRIVATE_NETWORKS]
    return x509.NameConstraints(permitted_subtrees=[*names, *addresses], excluded_subtrees=None)


def make_authority(*, title: str, now: dt.datetime) -> Authority:
    """Make an authority that may sign server certificates for private names, and nothing else."""
    key = new_key()
    certificate = (
        x509.CertificateBuilder()
        .subject_name(_name(title))
        .issuer_name(_name(title))
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - DAY)
        .not_valid_after(now + AUTHORITY_LIFE)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_usage(signs_certificates=True), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(_constraints(), critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .sign(key, hashes.SHA256())
    )
    return Authority(certificate=certificate, key=key)


def sign_server(
    authority: Authority, *, key: ec.EllipticCurvePublicKey, reach: Reach, now: dt.datetime
) -> x509.Certificate:
    """Sign a server certificate, one day old already, so that a phone whose clock is behind takes it."""
    begins = now - DAY
    ends = min(begins + SERVER_LIFE - dt.timedelta(seconds=1), authority.certificate.not_valid_after_utc)
    holds = [x509.IPAddress(ipaddress.ip_address(one)) for one in reach.addresses]
    names = [x509.DNSName(one) for one in reach.names]
    issuer_key = x509.AuthorityKeyIdentifier.from_issuer_public_key(authority.key.public_key())
    return (
        x509.CertificateBuilder()
        .subject_name(_name("Temperward server"))
        .issuer_name(authority.certificate.subject)
        .public_key(key)
        .serial_number(x509.random_serial_number())
        .not_valid_before(begins)
        .not_valid_after(ends)
        .add_extension(x509.SubjectAlternativeName([*names, *holds]), critical=False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(signs_certificates=False), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key), critical=False)
        .add_extension(issuer_key, critical=False)
        .sign(authority.key, hashes.SHA256())
    )


def covered(certificate: x509.Certificate) -> frozenset[str]:
    """Return the names and addresses a certificate is good for."""
    found = certificate.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    names = found.get_values_for_type(x509.DNSName)
    return frozenset(names) | {str(one) for one in found.get_values_for_type(x509.IPAddress)}


def fingerprint(certificate: x509.Certificate) -> str:
    """Return the SHA-256 fingerprint as phones show it."""
    return certificate.fingerprint(hashes.SHA256()).hex(":").upper()


def common_name(certificate: x509.Certificate) -> str:
    """Return the name under which phones list a certificate."""
    [found] = certificate.subject.get_attributes_for_oid(NameOID.COMMON_NAME)
    return str(found.value)
