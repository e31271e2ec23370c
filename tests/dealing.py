"""How `--dist loadfile` deals tests out to processes: a file to one, and to one the folder that shares a cluster."""

from __future__ import annotations

from xdist.scheduler import LoadFileScheduling

ONE_CLUSTER = "tests/loaders/cluster/"  # runs for all tests of this folder, and takes long to come up


class ByFile(LoadFileScheduling):  # type: ignore[misc]  # xdist ships no types
    """As xdist does it, but for what has to stay together."""

    def _split_scope(self, nodeid: str) -> str:
        return dealt_with(nodeid)


def dealt_with(test: str) -> str:
    """Say with which others a test goes to one process.

    >>> dealt_with("tests/test_rate.py::test_rates_add_up[3]")
    'tests/test_rate.py'
    >>> dealt_with("tests/loaders/cluster/test_whole_stores.py::test_a_dirty_fleet")
    'tests/loaders/cluster/'
    """
    return ONE_CLUSTER if test.startswith(ONE_CLUSTER) else test.partition("::")[0]
