"""Sizes as a ratchet, read from the tree: small files, small functions, shallow nesting."""

from __future__ import annotations

import ast
from pathlib import Path
from statistics import median

ROOT = Path(__file__).parents[1]
FILES = sorted((ROOT / "passage").rglob("*.py"))

LONGEST_FILE = 500
LONGEST_FUNCTION = 60
MEDIAN_FUNCTION = 8
DEEPEST_NESTING = 3
BLOCKS = (ast.If, ast.For, ast.While, ast.With, ast.Try)


def functions(path: Path) -> list[ast.FunctionDef]:
    return [node for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))) if isinstance(node, ast.FunctionDef)]


def code_lines(function: ast.FunctionDef) -> int:
    """Lines of the body, the docstring left out."""
    body = function.body[1:] if ast.get_docstring(function) and len(function.body) > 1 else function.body
    return (function.end_lineno or 0) - body[0].lineno + 1


def nesting(node: ast.AST, depth: int = 0) -> int:
    deepest = depth
    for child in ast.iter_child_nodes(node):
        is_elif = isinstance(node, ast.If) and isinstance(child, ast.If) and [child] == node.orelse
        deeper = depth + 1 if isinstance(child, BLOCKS) and not is_elif else depth
        deepest = max(deepest, nesting(child, deeper))
    return deepest


def test_no_file_is_too_long() -> None:
    assert {} == {
        str(path.relative_to(ROOT)): lines
        for path in FILES
        if (lines := len(path.read_text(encoding="utf-8").splitlines())) > LONGEST_FILE
    }


def test_no_function_is_too_long_or_too_deep() -> None:
    for path in FILES:
        for function in functions(path):
            assert code_lines(function) <= LONGEST_FUNCTION, f"{path.name}: {function.name}"
            assert nesting(function) <= DEEPEST_NESTING, f"{path.name}: {function.name} nests too deep"


def test_the_median_function_is_small() -> None:
    assert median(code_lines(function) for path in FILES for function in functions(path)) <= MEDIAN_FUNCTION


def test_every_docstring_is_whole() -> None:
    """It ends with a stop, or with a drawing, which is indented."""
    cut = []
    for path in FILES:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef):
                last = (ast.get_docstring(node) or ".").splitlines()[-1]
                if not last.endswith((".", "?", "!", ":", '."', ".)", "``")) and not last.startswith("    "):
                    cut.append(f"{path.relative_to(ROOT)}: ...{last[-60:]}")
    assert [] == cut
