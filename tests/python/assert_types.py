"""Checked by mypy and pyright, not run: what a user's editor is told."""

from typing import Any, Literal, assert_type

import pint

import swept

own: pint.UnitRegistry[Any] = pint.UnitRegistry()
cylinder = swept.Cylinder(bore="86 mm", stroke=own.Quantity(86, "mm"), rod_length="143 mm")
assert_type(cylinder, swept.Cylinder)
assert_type(cylinder.bore, pint.Quantity[Any])
assert_type(cylinder.rod_ratio, float)
assert_type(cylinder.piston_velocity("30 deg", speed="6000 rpm"), pint.Quantity[Any])
assert_type(swept.compression_ratio(swept_volume="500 cm3", clearance_volume="50 cm3"), float)
assert_type(swept.convert(1.0, "in", "mm"), float)
assert_type(swept.verdict("86 mm", lower="85 mm"), Literal["pass", "fail", "cannot_tell"])
assert_type(swept.read_build("build.toml"), swept.Build)
sheet = swept.read_build("build.toml").sheet()
assert_type(sheet, swept.Sheet)
assert_type(sheet.findings, list[swept.Finding])
assert_type(sheet.to_json(), str)
assert_type(sheet.findings[0].value, Any)
assert_type(sheet.table(), swept.tables.Table)
assert_type(swept.plots.walls(sheet, 1), swept.plots.Plot)
assert_type(swept.report.html(sheet), str)

swept.Cylinder(bore=86.0, stroke="86 mm", rod_length="143 mm")  # type: ignore[arg-type]
swept.Cylinder("86 mm", "86 mm", "143 mm")  # type: ignore[call-arg]
