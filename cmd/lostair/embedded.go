package main

import (
	"embed"

	"lostair/cmd/internal/disk"
)

// Names of the files that new and demo write.
const (
	systemFile   = "system.yaml"
	readingsFile = "readings.csv"
	baselineFile = "when-sound.csv" // of the demo alone
)

// renames is pairs of an embedded file and the name that it gets.
type renames [][2]string

func embedded(from embed.FS, files renames) ([]disk.File, error) {
	var out []disk.File
	for _, f := range files {
		data, err := from.ReadFile(f[0])
		if err != nil {
			return nil, err
		}
		out = append(out, disk.File{Name: f[1], Data: data})
	}
	return out, nil
}
