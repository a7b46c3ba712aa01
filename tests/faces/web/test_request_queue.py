"""One person's long work does not become everybody's wait."""

import asyncio

import pytest

from tapewright.faces.web.server.request_queue import Turns


def run(told):
    return asyncio.run(asyncio.wait_for(told, 30))


def test_a_second_one_waits_and_others_do_not():
    async def told():
        turns, order = Turns(1), []
        assert await turns.take("a", 9.0)
        second = asyncio.create_task(turns.take("a", 9.0))
        await asyncio.sleep(0)
        assert await turns.take("b", 0.0)
        order.append(second.done())
        turns.give("a")
        order.append(await second)
        turns.give("a")
        assert await turns.take("a", 0.0)  # nobody holds it any more
        return order

    assert run(told()) == [False, True]


def test_nobody_waits_for_ever():
    async def told():
        turns = Turns(1)
        await turns.take("a", 9.0)
        assert not await turns.take("a", 0.01)
        turns.give("a")
        return await turns.take("a", 0.0)

    assert run(told())


def test_who_gives_up_leaves_the_line():
    async def told():
        turns = Turns(1)
        await turns.take("a", 9.0)
        left, stays = (asyncio.create_task(turns.take("a", 9.0)) for _ in range(2))
        await asyncio.sleep(0)
        left.cancel()
        with pytest.raises(asyncio.CancelledError):
            await left
        turns.give("a")
        return await stays

    assert run(told())


def test_who_waited_in_vain_leaves_room():
    async def told():
        turns = Turns(1)
        await turns.take("a", 9.0)
        assert not any([await turns.take("a", 0.0) for _ in range(64)])
        waits = asyncio.create_task(turns.take("a", 9.0))
        await asyncio.sleep(0)
        assert not waits.done()
        turns.give("a")
        return await waits

    assert run(told())


def test_a_line_has_an_end():
    async def told():
        turns = Turns(1)
        await turns.take("a", 9.0)
        waiting = [asyncio.create_task(turns.take("a", 20.0)) for _ in range(64)]
        await asyncio.sleep(0)
        assert not any(one.done() for one in waiting)
        refused = not await turns.take("a", 20.0)
        for one in waiting:
            one.cancel()
        await asyncio.gather(*waiting, return_exceptions=True)
        return refused

    assert run(told())


def test_as_many_at_once_as_were_told():
    async def told():
        turns = Turns(4)
        return [await turns.take("a", 0.001) for _ in range(5)]

    assert run(told()) == [True, True, True, True, False]
