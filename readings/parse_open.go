package readings

import "errors"

// ParseOpen reads what the column "open" holds: "all", "none" or gate ids
// joined with "+". The error says what is wrong and what to do.
func ParseOpen(text string) (Open, error) {
	o, bad := parseOpen(text)
	if bad != nil {
		return Open{}, errors.New(bad.what + "; " + bad.do)
	}
	return o, nil
}
