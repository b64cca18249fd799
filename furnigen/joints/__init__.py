"""Joints: how two placements meet. Each kind is a frozen value that says what it cuts and needs.

A joint is declared with `furnigen.drafting.draft.Draft.join(a, b, joint)` between boards that butt as placed:
`b` enters `a` or lies against it. When the piece is done, `furnigen.drafting.joining` lengthens every b by
what it enters, then cuts both. So joins on one board compose in any order, and openings stay as they are.
"""
