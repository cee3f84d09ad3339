"""The rooms, imports one way only: every module's syntax tree is walked."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

import silhouette

ROOT = Path(silhouette.__file__).parent
#: Each room may import itself and those above it.
ORDER = ("asked", "shape", "cloth", "judged", "pipeline", "search", "shown", "cutting", "page", "cli")
MAY = {name: set(ORDER[: place + 1]) for place, name in enumerate(ORDER)}
#: No room holds more than this share of the package's lines.
LARGEST_SHARE = 0.30
HEAVY = {"pyvista", "vtk", "vtkmodules", "matplotlib", "trimesh", "scipy", "starlette", "uvicorn", "ezdxf", "reportlab"}
MODULES = {
    "silhouette." + ".".join(path.relative_to(ROOT).with_suffix("").parts): path
    for path in sorted(ROOT.rglob("*.py"))
    if path.name != "__init__.py"
}


def room(module: str) -> str:
    return module.split(".")[1] if "." in module else ""


def imported(path: Path, *, top_only: bool) -> set[str]:
    """Full names a module imports: all of them, or those run when it is imported (not in functions, not for types)."""
    tree = ast.parse(path.read_text("utf-8"))
    package = ["silhouette", *path.relative_to(ROOT).parent.parts]
    found: set[str] = set()

    def visit(node: ast.AST) -> None:
        if top_only and isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda):
            return
        if isinstance(node, ast.If) and "TYPE_CHECKING" in ast.unparse(node.test):
            if not top_only:
                for guarded in node.body:
                    visit(guarded)
            return
        if isinstance(node, ast.Import):
            found.update(alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            base = package[: len(package) - node.level + 1] if node.level else []
            name = ".".join([*base, *([node.module] if node.module else [])])
            found.add(name)
            found.update(f"{name}.{alias.name}" for alias in node.names)
        for child in ast.iter_child_nodes(node):
            visit(child)

    visit(tree)
    return found


def ours(names: set[str]) -> set[str]:
    """The modules of ours among some imported names; the package itself counts, as it holds everything."""
    return {name for name in names if name in MODULES or name == "silhouette"}


def test_the_walk_sees_the_package():
    assert len(MODULES) > 20 and "silhouette.shape.tape" in MODULES
    assert "silhouette.shape.curves" in ours(imported(MODULES["silhouette.shape.tape"], top_only=True))
    assert "scipy.linalg.lapack" in imported(MODULES["silhouette.cloth.ring"], top_only=False)


@pytest.mark.parametrize("module", MODULES)
def test_imports_go_one_way_only(module):
    if room(module) == "__main__":
        return
    assert room(module) in MAY, f"{module} stands outside the rooms"
    for name in ours(imported(MODULES[module], top_only=False)):
        assert name != "silhouette" or room(module) == "cli", f"{module} imports the package that imports it"
        if name == "silhouette":
            continue
        assert room(name) in MAY[room(module)], f"{module} imports {name}"


@pytest.mark.parametrize("module", MODULES)
def test_nothing_heavy_is_imported_with_a_module(module):
    heavy = {name.split(".")[0] for name in imported(MODULES[module], top_only=True)} & HEAVY
    if room(module) == "page":
        heavy -= {"starlette", "uvicorn"}  # the page is the server; the command line loads it only to serve
    assert not heavy, f"{module} imports {heavy} before it is needed"


def test_no_import_runs_in_a_circle():
    ahead = {m: ours(imported(path, top_only=False)) - {m, "silhouette"} for m, path in MODULES.items()}
    done: set[str] = set()

    def walk(module: str, trail: tuple[str, ...]) -> None:
        assert module not in trail, " -> ".join([*trail, module])
        if module not in done:
            for other in sorted(ahead[module]):
                walk(other, (*trail, module))
            done.add(module)

    for module in MODULES:
        walk(module, ())
    assert done == set(MODULES)


def test_a_room_of_that_name_and_no_other():
    rooms = {p.name for p in ROOT.iterdir() if p.is_dir() and p.name != "__pycache__"}
    assert rooms == set(ORDER) - {"pipeline"}
    banned = {"utils", "core", "common", "base", "helpers"}
    assert not {part for m in MODULES for part in m.split(".")} & banned


def test_no_room_holds_too_much():
    lines = dict.fromkeys(ORDER, 0)
    for module, path in MODULES.items():
        if room(module) in lines:
            lines[room(module)] += path.read_text("utf-8").count("\n")
    assert max(lines.values()) <= LARGEST_SHARE * sum(lines.values()), lines


def test_a_preview_from_cold_loads_neither_vtk_nor_matplotlib_nor_scipy():
    program = (
        "import sys, silhouette\n"
        "silhouette.preview(silhouette.read_sheet('demo'))\n"
        "print(sorted({'pyvista', 'vtk', 'vtkmodules', 'matplotlib', 'scipy', 'trimesh'} & set(sys.modules)))"
    )
    run = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, cwd=ROOT.parent)
    assert run.returncode == 0, run.stderr
    assert run.stdout.strip() == "[]"


def test_only_the_page_itself_imports_the_page():
    for module, path in MODULES.items():
        if room(module) != "page":
            assert not any(name.startswith("silhouette.page") for name in imported(path, top_only=True)), module
