"""The repository as git gives it, whatever names it holds, and plain words where it cannot."""

import subprocess

import pytest
from club_repository import SETTINGS, Club

from rigmargin import cli
from rigmargin.club import git
from rigmargin.club.git import Pair, Refused, Unreadable, repository

ODD = (
    "with space.yaml",
    "zeile\nzwei.yaml",
    "größe ñ 重.yaml",
    'it\'s "quoted".yaml',
    "-leading.yaml",
    "*.yaml",
    "tab\tin.yaml",
    "a/b/:(glob).yaml",
)


def _answer(capsys, *arguments):
    code = cli.main(["changes", *arguments])
    return code, capsys.readouterr().err


@pytest.mark.parametrize("name", ODD)
def test_files_of_any_name_are_listed_and_read(club, name):
    club.write(name, "one")
    first = club.commit()
    club.write(name, "two")
    second = club.commit()
    there = repository(club.folder)
    assert there.differing(first, second) == (Pair(name, name),)
    ids = there.files(first)
    assert there.contents(ids.values(), 9) == {ids[name]: b"one"}
    assert there.files_now() == {name}
    assert there.inside(name) == name


def test_a_name_that_is_no_utf8_keeps_its_bytes(club):
    name = b"caf\xe9.yaml"
    (club.folder / name.decode("utf-8", "surrogateescape")).write_bytes(b"one")
    first = club.commit()
    assert list(repository(club.folder).files(first)) == [name.decode("utf-8", "surrogateescape")]


def test_the_work_tree_is_what_lies_there(club):
    club.write(".gitignore", "ignored.yaml\n")
    for name in ("kept.yaml", "edited.yaml", "deleted.yaml", "no longer tracked.yaml"):
        club.write(name, f"of {name}\n" * 9)
    club.commit()
    club.write("edited.yaml", "other")
    club.write("untracked.yaml", "new")
    club.write("ignored.yaml", "new")
    club.git("rm", "-q", "--cached", "no longer tracked.yaml")
    (club.folder / "deleted.yaml").unlink()
    there = repository(club.folder)
    assert set(there.differing(there.commit("HEAD"), None)) == {
        Pair("edited.yaml", "edited.yaml"),
        Pair("deleted.yaml", None),
        Pair(None, "untracked.yaml"),
        Pair("no longer tracked.yaml", "no longer tracked.yaml"),
    }
    assert there.files_now() == {".gitignore", "kept.yaml", "edited.yaml", "untracked.yaml", "no longer tracked.yaml"}


@pytest.mark.parametrize("mark", ["--assume-unchanged", "--skip-worktree"])
@pytest.mark.parametrize("kept_by", ["sha1", "sha256"])
def test_files_that_git_was_told_not_to_look_at_are_looked_at(tmp_path, club, mark, kept_by):
    club = Club(tmp_path / "other", f"--object-format={kept_by}")
    for name in ("edited.yaml", "same.yaml", "gone.yaml", "moved on.yaml"):
        club.write(name, f"of {name}\n")
    first = club.commit()
    club.write("moved on.yaml", "other")
    club.commit()
    club.git("update-index", mark, "edited.yaml", "same.yaml", "gone.yaml", "moved on.yaml")
    club.write("edited.yaml", "of another\n")
    (club.folder / "gone.yaml").unlink()
    expected = {Pair("edited.yaml", "edited.yaml"), Pair("moved on.yaml", "moved on.yaml")}
    expected |= (
        {Pair("gone.yaml", None)} if "assume" in mark else set()
    )  # a skipped file that is not there was never checked out
    there = repository(club.folder)
    found = there.differing(first, None)
    assert set(found) == expected and len(found) == len(expected)
    club.git("update-index", "--assume-unchanged", "same.yaml")
    assert set(there.differing(first, None)) == expected


def test_a_renamed_file_is_one_file_and_an_unlike_one_is_two(club):
    club.write("a.yaml", "".join(f"line {n}\n" for n in range(40)))
    first = club.commit()
    club.git("mv", "a.yaml", "b.yaml")
    club.change("b.yaml", "line 7\n", "line seven\n")
    renamed = club.commit()
    club.git("mv", "b.yaml", "c.yaml")
    club.write("c.yaml", "".join(f"{'line' if n < 25 else 'other'} {n}\n" for n in range(40)))
    unlike = club.commit()
    there = repository(club.folder)
    assert there.differing(first, renamed) == (Pair("a.yaml", "b.yaml"),)
    assert set(there.differing(renamed, unlike)) == {Pair("b.yaml", None), Pair(None, "c.yaml")}


def test_links_and_other_repositories_inside_are_no_files(club):
    club.write("rig.yaml", "one")
    (club.folder / "link.yaml").symlink_to("rig.yaml")
    inner = Club(club.folder / "inner")
    inner.commit()
    club.git("-c", "advice.addEmbeddedRepo=false", "add", "-A")
    first = club.commit()
    there = repository(club.folder)
    assert set(there.files(first)) == {"rig.yaml"}
    assert there.files_now() == {"rig.yaml"}
    (club.folder / "link.yaml").unlink()
    club.write("link.yaml", "a file now")
    assert there.differing(first, None) == (Pair(None, "link.yaml"),)


def test_a_repository_inside_that_differs_is_told(club, capsys):
    """Another commit of it, and files of it that were edited: which rigs that means only it can say."""
    inner = Club(club.folder / "guests" / "inner")
    inner.write("rig.yaml", "rig: 1\n")
    inner.commit()
    club.git("-c", "advice.addEmbeddedRepo=false", "add", "-A")
    first = club.commit()
    there = repository(club.folder)
    assert there.differing(first, None) == ()
    inner.write("rig.yaml", "rig: 2\n")
    assert there.differing(first, None) == (Pair(None, None, "guests/inner"),)
    inner.commit()
    second = club.commit()
    for new in (None, second):
        assert there.differing(first, new) == (Pair(None, None, "guests/inner"),)
        assert cli.main(["changes", first, *([new] if new else [])]) == 3
        said = " ".join(capsys.readouterr().out.split())
        assert "no verdict got worse and no margin moved; 1 submodule differs and must be compared there." in said
        assert "? The submodule guests/inner differs. It is a repository of its own: run rigmargin changes in it." in said
    club.write("elsewhere/a.txt", "text")
    third = club.commit()
    assert [cli.main(["changes", first, third, "--", place]) for place in ("guests", "guests/inner", "elsewhere")] == [3, 3, 0]


def test_reading_leaves_the_repository_as_it_was(club):
    club.write("rig.yaml", "one")
    first = club.commit()
    club.write("rig.yaml", "two")
    before = {p: p.stat().st_mtime_ns for p in (club.folder / ".git").rglob("*")}
    there = repository(club.folder)
    there.differing(first, None)
    there.contents(there.files(first).values(), 9)
    assert {p: p.stat().st_mtime_ns for p in (club.folder / ".git").rglob("*")} == before


def test_of_what_is_long_the_beginning_is_kept(club):
    for name, text in {"long": "ab" * 3_000_000, "short": "cd", "empty": "", "just": "e" * 10, "more": "f" * 11}.items():
        club.write(name, text)
    there = repository(club.folder)
    files = there.files(club.commit())
    found = there.contents(files.values(), 10)
    assert {name: found[each] for name, each in files.items()} == {
        "long": b"abababababa",
        "short": b"cd",
        "empty": b"",
        "just": b"e" * 10,
        "more": b"f" * 11,
    }
    assert there.size(files["long"]) == 6_000_000


def test_contents_that_are_not_there_are_told(club):
    club.write("rig.yaml", "one")
    first = club.commit()
    there = repository(club.folder)
    kept = there.files(first)["rig.yaml"]
    (club.folder / ".git" / "objects" / kept[:2] / kept[2:]).unlink()
    with pytest.raises(Unreadable, match=f"lacks the file kept as {kept[:12]}; fetch it again"):
        there.contents([kept], 9)


@pytest.mark.parametrize(
    ("revision", "words"),
    [
        ("no-such", "'no-such' is no revision in this repository; check the name, or fetch it first"),
        ("main..HEAD", "name the two revisions one after the other"),
        ("rig.yaml", "there is a file or folder of that name; write files and folders after --"),
        ("HEAD:rig.yaml", "is no revision"),
        ("^HEAD", "'^HEAD' names no revision but leaves one out; write it without the ^ at its beginning"),
        ("", "'' is no revision"),
        ("a\nb", "'a\\\\nb' is no revision"),
    ],
)
def test_an_unknown_revision_is_told_with_its_cure(club, capsys, revision, words):
    club.write("rig.yaml", "one")
    club.commit()
    code, said = _answer(capsys, revision)
    assert code == 2
    assert words.replace("\\\\", "\\") in said
    assert "Traceback" not in said


def test_a_repository_without_commits_says_so(club, capsys):
    club.write("rig.yaml", "one")
    code, said = _answer(capsys, "HEAD")
    assert code == 2
    assert (
        said
        == "rigmargin: this repository has no commit yet, so there is nothing to compare with; commit the rig files first\n"
    )


def test_a_revision_that_begins_like_an_option_is_never_one(club):
    club.commit()
    with pytest.raises(Refused, match="'--all' is no revision"):
        repository(club.folder).commit("--all")
    with pytest.raises(Refused, match=r"'--output=x' is no revision"):
        repository(club.folder).commit("--output=x")
    assert not (club.folder / "x").exists()


def test_a_name_of_a_branch_and_a_tag_is_ambiguous(club, capsys):
    club.commit()
    club.git("branch", "v1")
    club.commit()
    club.git("tag", "v1")
    code, said = _answer(capsys, "v1")
    assert code == 2
    assert "'v1' is ambiguous: it may be refs/heads/v1 or refs/tags/v1; write one of these" in said
    assert repository(club.folder).commit("refs/heads/v1") != repository(club.folder).commit("refs/tags/v1")


def test_the_beginning_of_several_ids_is_ambiguous(club, capsys):
    tree, seen, n = club.git("rev-parse", f"{club.commit()}^{{tree}}"), {}, 0
    while (each := club.git("commit-tree", tree, "-m", str(n)))[:4] not in seen:
        seen[each[:4]], n = each, n + 1
    code, said = _answer(capsys, each[:4])
    assert code == 2
    assert f"'{each[:4]}' is ambiguous: it may be " in said
    assert each[:7] in said and seen[each[:4]][:7] in said
    assert "write more of the id" in said


def test_outside_a_repository(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("GIT_CEILING_DIRECTORIES", str(tmp_path.parent))
    code, said = _answer(capsys, "main")
    assert code == 2
    assert "this folder is in no git repository; go to the club's folder" in said


def test_without_git(club, monkeypatch, capsys):
    club.commit()
    monkeypatch.setenv("PATH", "")
    code, said = _answer(capsys, "main")
    assert code == 2
    assert "git is not installed" in said


def test_a_repository_that_git_refuses_is_told_in_gits_words(club, capsys):
    club.commit()
    (club.folder / ".git" / "config").write_text("[core\n", "utf-8")
    code, said = _answer(capsys, "main")
    assert code == 4
    assert "git says: bad config line 1" in said


def test_a_bare_repository_has_no_work_tree_and_two_revisions_will_do(club, tmp_path, monkeypatch, capsys):
    club.take("quarry-bend-utility.yaml")
    club.commit()
    club.change("quarry-bend-utility.yaml", "rig: 1", "rig: 1\n# a remark")
    club.commit()
    subprocess.run(["git", "clone", "-q", "--bare", str(club.folder), str(tmp_path / "bare")], check=True)
    monkeypatch.chdir(tmp_path / "bare")
    assert _answer(capsys, "main") == (2, "rigmargin: this repository is bare and has no work tree; name two revisions\n")
    assert _answer(capsys, "main~1", "main") == (0, "")
    monkeypatch.chdir(club.folder / ".git")
    code, said = _answer(capsys, "main")
    assert code == 2
    assert "no work tree" in said


def test_a_shallow_clone_says_what_to_fetch(club, tmp_path, monkeypatch, capsys):
    club.take("quarry-bend-utility.yaml")
    first = club.commit()
    club.change("quarry-bend-utility.yaml", "rig: 1", "rig: 1\n# a remark")
    club.commit()
    subprocess.run(["git", "clone", "-q", "--depth=1", f"file://{club.folder}", str(tmp_path / "shallow")], check=True)
    monkeypatch.chdir(tmp_path / "shallow")
    for revision in (first, "HEAD~1"):
        code, said = _answer(capsys, revision, "HEAD")
        assert code == 2
        assert "is a shallow clone and holds only a part of the history; fetch it first: git fetch --unshallow" in said
    subprocess.run(["git", "fetch", "-q", "--unshallow"], cwd=tmp_path / "shallow", check=True)
    assert _answer(capsys, first, "HEAD") == (0, "")


def test_places_are_named_from_where_we_are(club, tmp_path, monkeypatch):
    club.write("north/a.yaml", "one")
    there = repository(club.folder)
    monkeypatch.chdir(club.folder / "north")
    assert there.inside("a.yaml") == "north/a.yaml"
    assert there.inside(".") == "north"
    assert there.inside("..") == ""
    assert there.inside(str(club.folder / "north" / "a.yaml")) == "north/a.yaml"
    with pytest.raises(Refused, match="outside the repository"):
        there.inside(str(tmp_path))


def test_settings_of_the_person_do_not_change_the_answer(club):
    club.write("a/x.yaml", "one")
    first = club.commit()
    club.git("mv", "a/x.yaml", "a/y.yaml")
    second = club.commit()
    for name, value in {
        "diff.relative": "true",
        "diff.renames": "false",
        "diff.external": "false",
        "core.quotePath": "true",
    }.items():
        club.git("config", name, value)
    assert git.repository(club.folder / "a").differing(first, second) == (Pair("a/x.yaml", "a/y.yaml"),)
    assert SETTINGS["GIT_CONFIG_NOSYSTEM"] == "1"
