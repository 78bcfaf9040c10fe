package readings

// record is one row of the file before its meaning is known.
type record struct {
	line    int
	fields  []string // without surrounding spaces
	columns []int    // of their first characters
}
