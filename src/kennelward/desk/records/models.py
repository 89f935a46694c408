"""Tables of the desk: kennels, who belongs to them, the entries, the photos."""

from typing import Any, ClassVar

from django.conf import settings
from django.db import models


class Role(models.TextChoices):
    """What someone is in a kennel."""

    OWNER = "owner"
    HAND = "hand"
    VET = "vet"


class AppendOnlyError(TypeError):
    """Something tried to change or remove an entry; strike it through instead."""


class Kennel(models.Model):
    """One kennel with a book of its own. Its name is in the book, not here."""

    id = models.CharField(primary_key=True, max_length=36)
    is_demo = models.BooleanField(default=False)  # the made-up one
    made_at = models.DateTimeField()

    def __str__(self) -> str:
        return self.id


class Membership(models.Model):
    """Someone's role in a kennel."""

    kennel = models.ForeignKey(Kennel, on_delete=models.PROTECT, related_name="people")
    user = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="kennels"
    )
    role = models.CharField(max_length=8, choices=Role.choices)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=("kennel", "user"), name="one_role_a_kennel"
            ),
            models.CheckConstraint(
                condition=models.Q(role__in=Role.values), name="role_is_known"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.user_id} {self.role} {self.kennel_id}"


class _AppendOnlyRows(models.QuerySet["EntryRow"]):
    """Rows that can be added and read, not changed or removed."""

    def update(self, **kwargs: Any) -> int:
        """Refused."""
        raise AppendOnlyError("an entry is never changed; strike it through")

    def bulk_update(self, *args: Any, **kwargs: Any) -> int:
        """Refused."""
        raise AppendOnlyError("an entry is never changed; strike it through")

    def delete(self) -> tuple[int, dict[str, int]]:
        """Refused."""
        raise AppendOnlyError("an entry is never removed; strike it through")


class EntryRow(models.Model):
    """One entry of a kennel's book, in the order received.

    `body` is the JSON text exactly as hashed, and all that is read back; the other
    columns repeat parts of it for looking up, and `chain.verify` compares them.
    """

    kennel = models.ForeignKey(Kennel, on_delete=models.PROTECT, related_name="entries")
    sequence = models.PositiveIntegerField()  # 1, 2, 3 ... in each kennel
    entry = models.CharField(max_length=36)  # id made by whoever recorded it
    kind = models.CharField(max_length=40)
    happened_at = models.DateTimeField()
    recorded_at = models.DateTimeField()
    recorded_by = models.CharField(max_length=200)
    supersedes = models.CharField(max_length=36, blank=True, default="")
    body = models.TextField()
    previous = models.CharField(max_length=64)
    hash = models.CharField(max_length=64)

    objects = _AppendOnlyRows.as_manager()

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=("kennel", "sequence"), name="one_place_in_the_book"
            ),
            models.UniqueConstraint(fields=("kennel", "entry"), name="one_id_a_kennel"),
            models.UniqueConstraint(
                fields=("kennel", "previous"), name="chain_never_forks"
            ),
        ]
        indexes: ClassVar = [
            models.Index(fields=("kennel", "kind"), name="entries_of_a_kind"),
        ]

    def __str__(self) -> str:
        return f"{self.sequence} {self.kind} {self.entry}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Add the row; refuse to change one that is there."""
        if not self._state.adding:
            raise AppendOnlyError("an entry is never changed; strike it through")
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        """Refused."""
        raise AppendOnlyError("an entry is never removed; strike it through")


class PhotoRow(models.Model):
    """A photo a kennel keeps, stored on disk under its content hash."""

    kennel = models.ForeignKey(Kennel, on_delete=models.PROTECT, related_name="photos")
    sha256 = models.CharField(max_length=64)
    size = models.PositiveIntegerField()  # bytes
    stored_at = models.DateTimeField()
    stored_by = models.CharField(max_length=200)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=("kennel", "sha256"), name="one_photo_a_kennel"
            ),
        ]

    def __str__(self) -> str:
        return self.sha256


class TaskState(models.TextChoices):
    """Where a piece of long work stands."""

    WAITING = "waiting"
    RUNNING = "running"
    DONE = "done"
    STOPPED = "stopped"
    FAILED = "failed"


class TaskRow(models.Model):
    """A piece of long work that a page asked for: how far it is, and what came of it.

    No entry of the book: what it says can be worked out again from book and handbook.
    """

    kennel = models.ForeignKey(Kennel, on_delete=models.CASCADE, related_name="tasks")
    task = models.CharField(primary_key=True, max_length=36)  # id, a UUIDv7
    kind = models.CharField(max_length=20)
    asked = models.TextField()  # JSON
    answer = models.TextField(blank=True, default="")  # JSON, once it is done
    says = models.CharField(max_length=500, blank=True, default="")  # why it failed
    state = models.CharField(
        max_length=8, choices=TaskState.choices, default=TaskState.WAITING
    )
    wants_stop = models.BooleanField(default=False)
    done = models.PositiveBigIntegerField(default=0)
    total = models.PositiveBigIntegerField(default=0)
    made_at = models.DateTimeField()
    made_by = models.CharField(max_length=200)
    seen_at = models.DateTimeField(null=True)  # last sign of life of the worker

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=models.Q(state__in=TaskState.values), name="state_is_known"
            ),
        ]
        indexes: ClassVar = [
            models.Index(fields=("kennel", "kind"), name="tasks_of_a_kind"),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.state} {self.task}"
