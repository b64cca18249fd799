"""Pieces kept between the stages of a search: made once, the same as made anew, asked of who has them."""

from collections.abc import Hashable
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st
from solving import GRID, STACK, place

from furnigen.core.caches import forget_all
from furnigen.family.task import Outcome, Task, maker_of
from furnigen.family.task_queue import TaskQueue
from furnigen.solve.goal_file import read_goal_file
from furnigen.solve.search import Space, space_of
from furnigen.solve.setup import Trial

ASK = GRID + '[goal]\nminimise = "mass"\n'
FEW = range(0, 60, 6)


def asked(folder: Path) -> Space:
    """The search of a recipe that notes beside itself each time that it runs."""
    file = place(folder, ASK)
    note = f"    with open({str(folder / 'runs')!r}, 'a') as runs:\n        runs.write('x')\n"
    (folder / "stack.py").write_text(STACK.replace("    t = board", f"{note}    t = board"))
    return space_of(read_goal_file(file))


def tried(space: Space, stages: tuple[str, ...], *, anew: bool = False) -> list[Outcome]:
    """Each of a few candidates worked out to some stages, one stage after the other."""
    maker = maker_of(space.setup)
    found = []
    for stage in stages:
        if anew:
            forget_all()
        found += maker.make_some([Trial(n, str(n), space.grid.candidate(n).values, stage=stage) for n in FEW])
    return found


def test_a_piece_is_made_once_and_its_stages_come_out_as_when_made_anew(tmp_path):
    space, runs = asked(tmp_path), tmp_path / "runs"
    runs.write_text("")
    kept = tried(space, ("fit", "sag"))
    made = sum(o.status != "refused" for o in kept[: len(FEW)])
    assert 0 < made == len(runs.read_text())
    assert kept == tried(space, ("fit", "sag"), anew=True)
    assert len(runs.read_text()) == 3 * made


def test_a_large_piece_is_not_kept(tmp_path, monkeypatch):
    monkeypatch.setattr("furnigen.solve.evaluation.SEARCHED_PLACEMENTS", 0)
    space, runs = asked(tmp_path), tmp_path / "runs"
    runs.write_text("")
    first = tried(space, ("fit",))
    made = len(runs.read_text())
    assert tried(space, ("fit", "sag"))[: len(FEW)] == first
    assert len(runs.read_text()) == 3 * made > 0


def test_another_candidate_of_the_same_number_is_another_piece(tmp_path):
    space = asked(tmp_path)
    maker = maker_of(space.setup)
    one, other = (space.grid.candidate(n).values for n in (0, 200))
    rows = [next(maker.make_some([Trial(0, "0", values, stage="fit")])).row for values in (one, other, one)]
    assert rows[0] == rows[2] != rows[1]


@given(
    st.lists(st.sampled_from(["a", "b", "gone", None]), max_size=80),
    st.lists(st.sampled_from("ab"), max_size=40),
)
def test_tasks_come_once_each_and_first_to_whoever_had_them(had: list[str | None], turns: list[str]) -> None:
    def had_by(task: Task) -> Hashable | None:
        return had[task.number] if had[task.number] != "gone" else None

    queue = TaskQueue((Task(n, "", {}) for n in range(len(had))), had_by)
    got: list[tuple[str, int]] = []
    for worker in [*turns, *"ab" * len(had)]:
        while_own = {n for n, by in enumerate(had) if by == worker} - {n for _, n in got}
        task = queue.take(worker)
        if task is None:
            assert not queue.left
            break
        if had_by(task) not in (worker, None):  # taken over only once all are handed out
            assert not while_own
        got.append((worker, task.number))
    assert sorted(n for _, n in got) == list(range(len(had)))
