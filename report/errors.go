package report

// Errors is what a command prints as JSON in place of its result if it fails.
type Errors struct {
	Errors     []Error `json:"errors" jsonschema:"description=all that is wrong; in file order"`
	Unfinished bool    `json:"unfinished,omitempty" jsonschema:"description=the work was stopped before its end, and there is nothing to show yet"`
}

// Error is one thing that is wrong.
type Error struct {
	File   string `json:"file,omitempty" jsonschema:"description=as the user named it; absent if it is in no file"`
	Sheet  string `json:"sheet,omitempty" jsonschema:"description=of a workbook its sheet; line is then a row and column a column of it; absent of other files"`
	Line   int    `json:"line,omitempty" jsonschema:"description=1-based; absent if it is the file as a whole"`
	Column int    `json:"column,omitempty" jsonschema:"description=1-based and in characters; absent if it is the whole line"`
	What   string `json:"what"`
	Do     string `json:"do,omitempty" jsonschema:"description=what to do about it"`
}
