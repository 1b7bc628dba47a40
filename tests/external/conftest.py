"""Data that the checks against the outside fetch from a registry, once a run."""

import os

import pytest

from tests.external.guitarset import AnnotatedNote, FetchError, fetched


@pytest.fixture(scope="session")
def excerpts(tmp_path_factory: pytest.TempPathFactory) -> dict[str, list[AnnotatedNote]]:
    """GuitarSet's two excerpts; without a network the checks are skipped, and fail where they must run."""
    try:
        return fetched(tmp_path_factory.mktemp("guitarset"))
    except FetchError as error:
        if os.environ.get("CI") == "true":
            pytest.fail(str(error))
        pytest.skip(str(error))
