"""Every handbook file read and checked, overlays laid over."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from functools import lru_cache
from pathlib import Path
from types import MappingProxyType
from typing import TypeVar

from kennelward.handbook.agents import (
    read_case_signs,
    read_cautions,
    read_infection,
    read_kit,
    read_method,
    read_sources,
)
from kennelward.handbook.chances import read_performances, read_priors
from kennelward.handbook.check import HandbookError, Table
from kennelward.handbook.files import Text, hash_of, overlay, packaged
from kennelward.handbook.handbook import Handbook, Programme
from kennelward.handbook.infection import Infection, Priors
from kennelward.handbook.kit import Kit, Method
from kennelward.handbook.programmes import Known, read_rules
from kennelward.handbook.register import check_register
from kennelward.handbook.spread_policies import read_policies
from kennelward.handbook.values import Origin, overlaid, read_values
from kennelward.programme import DatedValue, ProgrammeRules, Rule, litter_numbers

OUR_SINCE = date(2026, 1, 1)  # test figures and priors of the first edition

Read = TypeVar("Read")


def load_handbook(*, overlays: Sequence[Path] = ()) -> Handbook:
    """Our handbook with the kennel's overlays laid over, later ones on top.

    Raises HandbookError, whose message names file, key, value, what is allowed and the
    fix. The same files give the same object.
    """
    ours = packaged()
    theirs = tuple(overlay(Path(folder)) for folder in overlays)
    return _load(ours, theirs)


@lru_cache(maxsize=8)
def _load(ours: tuple[Text, ...], theirs: tuple[tuple[Text, ...], ...]) -> Handbook:
    return _Loading(ours, theirs).made()


def load_unregistered() -> Handbook:
    """Our own files, not held against the register; for `python -m kennelward.handbook`."""
    return _Loading(packaged(), ()).made(registered=False)


@dataclass
class _Overlay:
    """One overlay folder, parsed."""

    by: str
    origin: Origin
    tables: Mapping[str, Table]  # "kits/relaxin.toml" -> its table
    used: set[str] = field(default_factory=set)


class _Loading:
    """One run of reading; names first, then values, then what names them."""

    def __init__(
        self, ours: tuple[Text, ...], theirs: tuple[tuple[Text, ...], ...]
    ) -> None:
        self.texts = ours
        self.tables = {t.name: Table(t.parsed(), file=t.name) for t in ours}
        self.sources = read_sources(self.tables["sources.toml"])
        self.origin = Origin(sources=self.sources)
        self.overlays = [self._overlay(texts) for texts in theirs]
        self.all_texts = (*ours, *(text for texts in theirs for text in texts))
        self.cautions = read_cautions(self.tables["cautions.toml"], origin=self.origin)
        self.values: dict[str, DatedValue] = {}

    def _overlay(self, texts: tuple[Text, ...]) -> _Overlay:
        head = Table(texts[0].parsed(), file=texts[0].name)
        by = head.text("by")
        head.done()
        tables = {
            text.name.split("/", 1)[1]: Table(text.parsed(), file=text.name)
            for text in texts[1:]
        }
        for name, table in tables.items():
            if name not in self.tables:
                raise table.fail(
                    "", f"there is no {name} to lay over", "Check its name."
                )
        return _Overlay(
            by=by, origin=Origin(sources=self.sources, overlaid_by=by), tables=tables
        )

    def _in(self, folder: str) -> list[tuple[str, Table]]:
        found = []
        for name, table in sorted(self.tables.items()):
            if name.startswith(f"{folder}/"):
                named = name.split("/")[1].removesuffix(".toml")
                told = table.text("id")
                if told != named:
                    raise table.fail(
                        "id", f"got {told!r}", f"It must be the file's name, {named!r}."
                    )
                found.append((named, table))
        return found

    def _values_of(
        self, folder: str, owner: str, table: Table
    ) -> dict[str, DatedValue]:
        values = read_values(table, owner=owner, origin=self.origin)
        for laid in self.overlays:
            over = laid.tables.get(f"{folder}/{owner}.toml")
            if over is not None:
                theirs = read_values(over, owner=owner, origin=laid.origin)
                values = overlaid(values, theirs, file=over.file)
        for path in (f"{owner}.{name}" for name in values):
            if path in self.values:
                raise table.fail("id", f"{path} is taken", "Use another id.")
        self.values.update({f"{owner}.{name}": v for name, v in values.items()})
        return values

    def made(self, *, registered: bool = True) -> Handbook:
        """The whole handbook, checked; against the register as well if `registered`."""
        own = {
            (folder, name): self._values_of(folder, name, table)
            for folder in ("agents", "kits", "programmes", "litters")
            for name, table in self._in(folder)
        }
        known = Known(
            values=self.values,
            kits=[name for name, _ in self._in("kits")],
            infections=[name for name, _ in self._in("agents")],
            methods=[name for name, _ in self._in("methods")],
            cautions=list(self.cautions),
        )
        kits = {
            name: self._kit(name, table, own["kits", name], known)
            for name, table in self._in("kits")
        }
        infections = {
            name: read_infection(
                table, values=own["agents", name], origin=self.origin, known=known
            )
            for name, table in self._in("agents")
        }
        methods = {
            name: read_method(table, origin=self.origin, known=known)
            for name, table in self._in("methods")
        }
        priors = {
            name: self._priors(name, table, known) for name, table in self._in("priors")
        }
        self._litters()
        titles, rules = self._programmes(own, known)
        handbook = self._handbook(
            kits, infections, methods, priors, titles, rules, known
        )
        self._check_overlays_read()
        if registered:
            check_register(handbook, self.tables["register.toml"])
        return handbook

    def _litters(self) -> None:
        """Close every file of litters/, and see that their numbers can be worked with."""
        for _, table in self._in("litters"):
            table.text("title")
            table.text("says")
            table.done()

        def number(path: str) -> float:
            if path not in self.values:
                file = f"litters/{path.partition('.')[0]}.toml"
                raise HandbookError(f"{file}: there is no value {path}. Add it.")
            return self.values[path].value

        litter_numbers(number)

    def _kit(
        self, name: str, table: Table, values: dict[str, DatedValue], known: Known
    ) -> Kit:
        kit = read_kit(table, values=values, origin=self.origin, known=known)
        for laid in self.overlays:
            over = laid.tables.get(f"kits/{name}.toml")
            if over is None:
                continue
            theirs = read_performances(
                over.tables("performances"),
                test=name,
                sees=kit.sees,
                origin=laid.origin,
            )
            kit = replace(
                kit, performances=(*theirs, *kit.performances), overlaid_by=laid.by
            )
        return kit

    def _priors(self, name: str, table: Table, known: Known) -> Priors:
        if name not in known.infections:
            raise table.fail("id", f"no infection {name!r}", "Name one in agents/.")
        priors = read_priors(table, infection=name, origin=self.origin)
        for laid in self.overlays:
            over = laid.tables.get(f"priors/{name}.toml")
            if over is not None:
                theirs = read_priors(over, infection=name, origin=laid.origin)
                priors = replace(
                    priors,
                    bases=(*theirs.bases, *priors.bases),
                    steps=(*priors.steps, *theirs.steps),
                    overlaid_by=laid.by,
                )
        return priors

    def _programmes(
        self, own: Mapping[tuple[str, str], dict[str, DatedValue]], known: Known
    ) -> tuple[dict[str, Programme], tuple[Rule, ...]]:
        titles: dict[str, Programme] = {}
        rules: list[Rule] = []
        for name, table in self._in("programmes"):
            title = table.text("title")
            titles[name] = Programme(
                programme=name,
                title=title,
                says=table.text("says"),
                values=own["programmes", name],
            )
            rules += read_rules(
                table, programme=name, title=title, origin=self.origin, known=known
            )
            table.done()
        return titles, tuple(rules)

    def _handbook(
        self,
        kits: dict[str, Kit],
        infections: dict[str, Infection],
        methods: dict[str, Method],
        priors: dict[str, Priors],
        titles: dict[str, Programme],
        rules: tuple[Rule, ...],
        known: Known,
    ) -> Handbook:
        case_signs = tuple(
            signs
            for name, table in self._in("agents")
            for signs in read_case_signs(table, infection=name, known=known)
        )
        clearing = {
            name: table.texts("clearing_methods", default=())
            for name, table in self._in("agents")
        }
        return Handbook(
            kits=MappingProxyType(kits),
            infections=MappingProxyType(infections),
            methods=MappingProxyType(methods),
            priors=MappingProxyType(priors),
            programmes=ProgrammeRules(
                rules=rules,
                values=MappingProxyType(dict(self.values)),
                case_signs=case_signs,
                clearing_methods=MappingProxyType(clearing),
                kits=MappingProxyType({k: kit.infection for k, kit in kits.items()}),
                chances=MappingProxyType(_chances(kits, priors)),
            ),
            programme_titles=MappingProxyType(titles),
            policies=MappingProxyType(
                {
                    name: read_policies(table, origin=self.origin, known=known)
                    for name, table in self._in("policies")
                }
            ),
            cautions=MappingProxyType(self.cautions),
            sources=MappingProxyType(self.sources),
            since=OUR_SINCE,
            hash=hash_of(self.all_texts),
            overlays=tuple(laid.by for laid in self.overlays),
        )

    def _check_overlays_read(self) -> None:
        for laid in self.overlays:
            for table in laid.tables.values():
                table.done()


def _chances(kits: Mapping[str, Kit], priors: Mapping[str, Priors]) -> dict[str, float]:
    """Named means that rules compute false alarms from: any dog, lowest-risk kennel."""
    found = {}
    for kit in kits.values():
        figures = kit.performances[-1]
        found[f"{kit.infection}.sensitivity"] = figures.sensitivity.mean
        found[f"{kit.infection}.specificity"] = figures.specificity.mean
    for name, each in priors.items():
        found[f"{name}.prior"] = each.bases[-1].chance.mean
    return found


__all__ = ["HandbookError", "load_handbook"]
