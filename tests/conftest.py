"""What tests of several folders need: the site of the pages."""

import pytest
from docblocks import TOP, blocks, run
from filelock import FileLock

BUILD = ".venv/bin/sphinx-build -W -q -c docs . site"


@pytest.fixture(scope="session")
def site(tmp_path_factory, worker_id):
    """The folder of the site, built by the command of docs/index.md once it has its environment; warnings are errors.

    It is built once, whichever of the processes that run the tests comes first.
    """
    (command,) = [block.text.strip() for block in blocks(TOP / "docs" / "index.md") if block.mark == "set up"]
    assert command.endswith(f" && {BUILD}")
    own = tmp_path_factory.getbasetemp()
    shared = own if worker_id == "master" else own.parent
    with FileLock(shared / "site.lock"):
        if not (shared / "site").exists():
            said = run(f"{BUILD.removesuffix(' site')} {own / 'new'} -d {own / 'doctrees'}; echo $?", TOP)
            assert said.splitlines()[-1:] == ["0"], said
            (own / "new").rename(shared / "site")
    return shared / "site"
