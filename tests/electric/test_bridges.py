"""Bridges of a net, against nets small enough to be opened link by link."""

from __future__ import annotations

from random import Random

import pytest

from sim.electric.bridges import Forest
from sim.electric.feeds import labels


def joined(count: int, links: dict[int, tuple[int, int]]) -> list[int]:
    return labels(count, [a for a, _ in links.values()], [b for _, b in links.values()])


def random_net(seed: int) -> tuple[int, dict[int, tuple[int, int]]]:
    random = Random(seed)
    count = random.randint(2, 12)
    ends = [(random.randrange(count), random.randrange(count)) for _ in range(random.randint(1, 16))]
    return count, {100 + k: pair for k, pair in enumerate(ends)}


@pytest.mark.parametrize("seed", range(60))
def test_a_bridge_is_a_link_without_which_its_ends_are_parted_and_beyond_it_lies_what_it_parts(seed: int) -> None:
    count, links = random_net(seed)
    net = Forest(count, links)
    for number, (a, b) in links.items():
        without = joined(count, {other: pair for other, pair in links.items() if other != number})
        assert (number in net.bridges) == (without[a] != without[b])
        if number in net.bridges:
            beyond = net.bridges[number]
            assert sorted(net.beyond(number)) == [node for node in range(count) if without[node] == without[beyond]]
            assert without[net.root[a]] != without[beyond], "the root is on the other side"


@pytest.mark.parametrize("seed", range(60))
def test_nodes_are_of_one_class_when_no_single_link_parts_them(seed: int) -> None:
    count, links = random_net(seed)
    classes = Forest(count, links).classes()
    whole = [joined(count, {other: pair for other, pair in links.items() if other != number}) for number in links]
    for one in range(count):
        for other in range(count):
            assert (classes[one] == classes[other]) == all(root[one] == root[other] for root in whole)


def test_what_no_root_reaches_has_none() -> None:
    net = Forest(4, {0: (0, 1), 1: (2, 3)}, roots=[1])
    assert net.root == [1, 1, -1, -1]
    assert net.bridges == {0: 0}
