package subjects

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"

	"lostair/report"
)

// savedKinds tell the kinds of result apart by a key that only one has. A
// comparison of repair is looked for before a history, and both before a
// diagnosis, whose keys others have too.
var savedKinds = []struct {
	key  string
	show func(w io.Writer, data []byte, units string, v View) error
}{
	{"improved", Compared.again},
	{"series", Followed.again},
	{"lines", Checked.again},
	{"changes", Altered.again},
	{"stops", Rounds.again},
	{"candidates", Diagnosed.again},
	{"settings", Foreseen.again},
}

// ShowSaved shows what a file holds that was saved as JSON, in the units that it was
// saved in or in others. Its kind shows by its keys.
func ShowSaved(w io.Writer, file string, data []byte, units string, v View) error {
	var keys map[string]json.RawMessage
	if err := json.Unmarshal(bytes.TrimSpace(data), &keys); err != nil {
		return fmt.Errorf("%s is no saved result of one survey: %w", file, plainJSON(err))
	}
	var version int
	if err := json.Unmarshal(keys["version"], &version); err != nil || version < 1 || version > report.Version {
		return fmt.Errorf("%s is no saved result that this program reads; it reads versions 1 to %d", file, report.Version)
	}
	for _, k := range savedKinds {
		if _, ok := keys[k.key]; ok {
			if err := k.show(w, data, units, v); err != nil {
				return fmt.Errorf("%s: %w", file, err)
			}
			return nil
		}
	}
	return fmt.Errorf("%s holds no kind of result that is known", file)
}
