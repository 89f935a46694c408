"""Whether whoever writes may write this entry, by their role in the kennel."""

from django.contrib.auth.models import AbstractBaseUser, AnonymousUser, User

from kennelward.desk.records.models import Membership
from kennelward.kennel import Book, Entry
from kennelward.kennel.facts import Struck
from kennelward.terms import BadInput

TRUSTED = "terminal"  # who can read the data folder can do everything anyway


def name_of(by: AbstractBaseUser | AnonymousUser | str) -> str:
    """The name an entry is signed with: unique within a kennel."""
    if isinstance(by, str):
        return by
    if isinstance(by, User):
        return by.get_full_name().strip() or by.get_username()
    return by.get_username()


def role_of(kennel: str, by: AbstractBaseUser | AnonymousUser | str) -> str:
    """The role in which `by` writes; a plain name is the terminal's own and trusted."""
    if isinstance(by, str):
        return TRUSTED
    role = None
    if by.pk is not None:
        role = (
            Membership.objects.filter(
                kennel_id=kennel, user_id=by.pk, user__is_active=True
            )
            .values_list("role", flat=True)
            .first()
        )
    if role is None:
        raise BadInput("your login does not belong to this kennel; ask its owner")
    return role


def check_may_write(book: Book, entry: Entry, *, role: str) -> None:
    """Raise `BadInput` unless that role may write this entry."""
    from kennelward.desk.access import MAY_STRIKE_ALL, MAY_WRITE

    if role == TRUSTED:
        return
    if type(entry.fact) not in MAY_WRITE[role]:
        raise BadInput(
            f"a login with the role {role} may not write this; ask the owner to do it"
        )
    if role in MAY_STRIKE_ALL:
        return
    target = entry.fact.entry if isinstance(entry.fact, Struck) else entry.supersedes
    found = book.find(target) if target else None
    if found is not None and found.recorded_by != entry.recorded_by:
        raise BadInput(
            f"{found.recorded_by} wrote that entry; "
            "only they or the owner may strike or replace it"
        )
