"""What the journal knows of a plan's films in its developer; no journal is begun to ask it."""

from typing import TYPE_CHECKING

from darktimer.errors import DarktimerError
from darktimer.prepare.kept_baths import journal

if TYPE_CHECKING:
    from darktimer.journal.known import Known
    from darktimer.plan.model import Plan


def known_of(plan: "Plan") -> "list[list[Known]]":
    """For each stock that the plan names, all that is known of it in the plan's developer.

    Nothing where the journal cannot be read: another command says why.
    """
    from darktimer.journal.folder import journal_is_begun

    stocks = dict.fromkeys(film.stock for film in plan.films if film.stock)
    if not stocks or not journal_is_begun():
        return []
    from darktimer.journal.developments import developments_in
    from darktimer.journal.films import developer_of
    from darktimer.journal.known import Process, known
    from darktimer.journal.narrowing import Only

    developer = developer_of(developments_in(plan, ()))
    found = []
    try:
        with journal() as opened:
            for stock in stocks:
                wanted = Process(stock, developer, "", None).key[:2]
                of_stock = known(opened, Only(stock=stock))
                found.append([each for each in of_stock if each.process.key[:2] == wanted])
    except DarktimerError:
        return []
    return [each for each in found if each]
