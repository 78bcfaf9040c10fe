package workbook

import "io"

// Read reads no workbook in a browser.
func Read([]byte, func(row []string) bool) (*Sheet, error) {
	return nil, &Error{What: "this is a workbook, and the page in a browser reads none", Do: "save the sheet as CSV"}
}

// Write writes no workbook in a browser.
func Write(io.Writer, Table) error {
	return &Error{What: "the page in a browser writes no workbook", Do: "take the CSV"}
}
