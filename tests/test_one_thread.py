"""The limit of linear algebra to one thread, which is the whole process's."""

import numpy as np
from threadpoolctl import threadpool_info, threadpool_limits

from recommender.studio.one_thread import one_thread


def threads() -> set[int]:
    np.eye(2) @ np.eye(2)
    return {library["num_threads"] for library in threadpool_info() if library["user_api"] == "blas"}


def test_whoever_leaves_last_lifts_it_and_nobody_before():
    with threadpool_limits(2, user_api="blas"):
        before = threads()
        one_thread.__enter__()
        one_thread.__enter__()  # another thread's, which begins before the first is done
        assert threads() == {1}
        one_thread.__exit__()
        assert threads() == {1}
        one_thread.__exit__()
        assert threads() == before == {2}
