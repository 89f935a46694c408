"""Ids that whoever records makes for themselves: UUID version 7, sortable by time."""

import uuid
from datetime import datetime

# RFC 9562, section 5.7: 48 bits of Unix milliseconds, version, 74 random bits.
RANDOM_BYTES = 10


def uuid7(*, at: datetime, noise: bytes) -> str:
    """A UUIDv7 for the moment `at`, from 10 random bytes.

    Source: RFC 9562, section 5.7.
    """
    if len(noise) != RANDOM_BYTES:
        raise ValueError(f"noise must be {RANDOM_BYTES} bytes, got {len(noise)}")
    milliseconds = int(at.timestamp() * 1000)
    number = (milliseconds << 80) | int.from_bytes(noise, "big")
    number = (number & ~(0xF << 76)) | (0x7 << 76)
    number = (number & ~(0x3 << 62)) | (0x2 << 62)
    return str(uuid.UUID(int=number))
