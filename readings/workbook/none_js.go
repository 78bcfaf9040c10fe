package workbook

// Read reads no workbook in a browser.
func Read([]byte, func(row []string) bool) (*Sheet, error) {
	return nil, &Error{What: "this is a workbook, and the page in a browser reads none", Do: "save the sheet as CSV"}
}
