package main

import "embed"

// Names of the files that new and demo write.
const (
	systemFile   = "system.yaml"
	readingsFile = "readings.csv"
	baselineFile = "when-sound.csv" // of the demo alone
)

// renames is pairs of an embedded file and the name that it gets.
type renames [][2]string

func embedded(from embed.FS, files renames) ([]namedFile, error) {
	var out []namedFile
	for _, f := range files {
		data, err := from.ReadFile(f[0])
		if err != nil {
			return nil, err
		}
		out = append(out, namedFile{f[1], data})
	}
	return out, nil
}
