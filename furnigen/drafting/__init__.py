"""The drafting table: places boards and other parts, divides openings, joins boards, hands over a piece."""
