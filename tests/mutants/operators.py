"""Faults as people make them: a limit off by one, a sign turned, a guard or a table's row lost.

A mutant is one node of a file's syntax tree replaced by another. Words are left alone (texts,
messages of faults, annotations): tests of their own hold them.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from copy import copy
from dataclasses import dataclass
from typing import Any

BOUNDS: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE,
    ast.LtE: ast.Lt,
    ast.Gt: ast.GtE,
    ast.GtE: ast.Gt,
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.In: ast.NotIn,
    ast.NotIn: ast.In,
    ast.Is: ast.IsNot,
    ast.IsNot: ast.Is,
}
SIGNS: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.FloorDiv,
    ast.FloorDiv: ast.Mult,
}
TWINS = {"max": "min", "min": "max", "any": "all", "all": "any", "floor": "ceil", "ceil": "floor"}
SCOPES = (ast.FunctionDef, ast.AsyncFunctionDef, ast.ClassDef)
WORDS = (ast.JoinedStr, ast.Raise, ast.Assert, ast.Import, ast.ImportFrom, ast.expr_context)
NOT_RUN = ("annotation", "returns", "decorator_list", "type_params")

Replacement = tuple[str, str, ast.AST]


@dataclass(frozen=True)
class Mutant:
    """One fault: file, line, function, what stood there and what does now, its number there."""

    file: str
    line: int
    function: str
    before: str
    after: str
    number: int

    @property
    def change(self) -> str:
        """The fault on one line."""
        return f"{self.before} -> {self.after}"


@dataclass(frozen=True)
class _Spot:
    """A node, where it hangs, in which function, and whether in a table of the module."""

    node: ast.AST
    parent: ast.AST
    field: str
    index: int | None
    function: str
    in_table: bool

    def put(self, node: ast.AST) -> None:
        if self.index is None:
            setattr(self.parent, self.field, node)
        else:
            getattr(self.parent, self.field)[self.index] = node


def list_mutants(file: str, source: str) -> list[Mutant]:
    """Every fault that can be put into a file, in the order in which it reads."""
    return [mutant for mutant, _, _ in _walk(file, ast.parse(source))]


def put_in(source: str, mutant: Mutant) -> str:
    """The file with that one fault; comments are lost, docstrings stay."""
    tree = ast.parse(source)
    for found, spot, node in _walk(mutant.file, tree):
        if found == mutant:
            spot.put(node)
            return ast.unparse(ast.fix_missing_locations(tree))
    raise ValueError(f"{mutant.file} has no {mutant.change} in {mutant.function}")


def _walk(file: str, tree: ast.Module) -> Iterator[tuple[Mutant, _Spot, ast.AST]]:
    number = 0
    for spot in _list_spots(tree, "", False):
        rows = _drop_rows(spot.node) if spot.in_table else ()
        for before, after, node in (*_replace(spot.node), *rows):
            line = getattr(spot.node, "lineno", 0)
            yield Mutant(file, line, spot.function or "-", before, after, number), spot, node
            number += 1


def _list_spots(parent: ast.AST, function: str, in_table: bool) -> Iterator[_Spot]:
    for field, value in ast.iter_fields(parent):
        if field in NOT_RUN:
            continue
        for index, node in enumerate(value) if isinstance(value, list) else [(None, value)]:
            if not isinstance(node, ast.AST) or isinstance(node, WORDS) or _is_never_wrong(node):
                continue
            inside, table = function, in_table
            if isinstance(node, SCOPES):
                inside, table = f"{function}.{node.name}".lstrip("."), False
            elif isinstance(parent, ast.Module):
                table = isinstance(node, ast.Assign | ast.AnnAssign)
            yield _Spot(node, parent, field, index, inside, table)
            yield from _list_spots(node, inside, table)


def _is_never_wrong(node: ast.AST) -> bool:
    """A docstring, or `strict=True`, which only says that rows are as many as they are."""
    if isinstance(node, ast.keyword):
        return node.arg == "strict"
    return isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)


def _replace(node: ast.AST) -> Iterator[Replacement]:
    """What stands there, what could stand there instead, and the node that does."""
    match node:
        case ast.If(test=test) | ast.IfExp(test=test):
            before = f"if {ast.unparse(test)}"
            for always in (True, False):
                yield before, f"if {always}", _change(node, test=ast.Constant(always))
        case ast.For(target=target, iter=rows, body=body, orelse=[]):
            before = f"for {ast.unparse(target)} in {ast.unparse(rows)}"
            yield before, "only the first", _change(node, body=[*body, ast.Break()])
        case ast.Expr(value=ast.Yield() | ast.YieldFrom() | ast.Call() as value):
            yield ast.unparse(value), "nothing", ast.Pass()
        case _:
            before = ast.unparse(node) if isinstance(node, ast.expr | ast.AugAssign) else ""
            for twin in _replace_part(node):
                yield before, ast.unparse(twin), twin


def _replace_part(node: ast.AST) -> Iterator[ast.AST]:
    match node:
        case ast.Compare(ops=signs):
            for i, sign in enumerate(signs):
                if type(sign) in BOUNDS:
                    turned = BOUNDS[type(sign)]()
                    yield _change(node, ops=[*signs[:i], turned, *signs[i + 1 :]])
        case ast.Constant(value=bool(value)):
            yield ast.Constant(not value)
        case ast.Constant(value=int(value) | float(value)):
            yield from (ast.Constant(value + 1), ast.Constant(value - 1))
        case ast.BoolOp(op=joined):
            yield _change(node, op=ast.Or() if isinstance(joined, ast.And) else ast.And())
        case ast.UnaryOp(op=ast.Not() | ast.USub(), operand=operand):
            yield operand
        case ast.BinOp(op=sign) | ast.AugAssign(op=sign) if type(sign) in SIGNS:
            if not any(
                isinstance(part, ast.JoinedStr) or _is_text(part) for part in ast.walk(node)
            ):
                yield _change(node, op=SIGNS[type(sign)]())
        case ast.Call(func=ast.Name(id=name)) if name in TWINS:
            yield _change(node, func=ast.Name(TWINS[name], ast.Load()))


def _is_text(node: ast.AST) -> bool:
    return isinstance(node, ast.Constant) and isinstance(node.value, str)


def _drop_rows(node: ast.AST) -> Iterator[Replacement]:
    """A row is lost from a table of the module."""
    match node:
        case ast.Tuple(elts=rows) | ast.List(elts=rows) | ast.Set(elts=rows) if len(rows) > 1:
            if isinstance(getattr(node, "ctx", None), ast.Store):
                return
            for i, row in enumerate(rows):
                yield ast.unparse(row), "no row", _change(node, elts=rows[:i] + rows[i + 1 :])
        case ast.Dict(keys=keys, values=rows) if len(keys) > 1:
            for i, key in enumerate(keys):
                rest = {"keys": keys[:i] + keys[i + 1 :], "values": rows[:i] + rows[i + 1 :]}
                yield ast.unparse(key or rows[i]), "no row", _change(node, **rest)


def _change(node: ast.AST, **fields: Any) -> ast.AST:
    twin = copy(node)
    for name, value in fields.items():
        setattr(twin, name, value)
    return twin
