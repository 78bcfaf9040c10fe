// Package keys holds the form of a system file: the table of the keys that it may have
// (keys.go), from which help, errors, schema and documentation read; and, of one file,
// where the value of each key stands and how it is written there (marks.go), so that
// whoever finds something wrong can say where. words.go says it in the words of the file.
//
// It knows neither YAML nor the system: package systemfile reads the file by this table
// and fills in the Sheet, and package duct checks the system against both.
//
// All values are SI: m, m³/s, Pa, m/s, K, kg/m³, rad.
package keys
