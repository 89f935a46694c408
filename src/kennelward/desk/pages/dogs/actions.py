"""Every action on a dog's page, in the order its buttons stand."""

from kennelward.desk.pages.dogs.action_base import DogAction
from kennelward.desk.pages.dogs.action_breeding import (
    LostForm,
    MatedForm,
    PuppyDiedForm,
    SeasonForm,
    WhelpedForm,
)
from kennelward.desk.pages.dogs.action_care import (
    BathedForm,
    CourseForm,
    ResultForm,
    VaccinatedForm,
    WeighedForm,
    WormedForm,
)
from kennelward.desk.pages.dogs.action_forms import (
    ApartEndedForm,
    ApartForm,
    LeftForm,
    MovedForm,
    NoteForm,
    SeenForm,
    VetCalledForm,
)
from kennelward.kennel import DogCard

ACTIONS: tuple[type[DogAction], ...] = (
    SeenForm,
    WeighedForm,
    MovedForm,
    ApartForm,
    ApartEndedForm,
    VetCalledForm,
    CourseForm,
    ResultForm,
    VaccinatedForm,
    WormedForm,
    BathedForm,
    MatedForm,
    SeasonForm,
    WhelpedForm,
    PuppyDiedForm,
    LostForm,
    NoteForm,
    LeftForm,
)


def actions_for(*, card: DogCard, role: str) -> list[type[DogAction]]:
    """What this role may write about this dog as it is now."""
    return [
        action
        for action in ACTIONS
        if role in action.roles
        and action.only_sex in ("", card.described.sex)
        and (action is not ApartForm or card.apart is None)
        and (action is not ApartEndedForm or card.apart is not None)
        and (card.is_here or action in (NoteForm, ResultForm))
    ]
