package unit

// What tests alone measure.

// Format prints a value in the program's unit, in the fewest digits that
// Parse reads back as the same number: "0.58 mm".
func (q Quantity) Format(v float64) string {
	return Decimal(v) + " " + q.Unit()
}
