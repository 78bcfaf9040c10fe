// Package trade holds what the trade knows by name: kinds of hoods and how much
// air loses in them, duct walls and their roughness, the sizes in which pipe and
// hose are made, and what machines usually need. Each number stands beside its
// source, or says that it has none.
//
// It knows no system: package duct says where a hood or a material stands. The usual
// needs (usual.go) are offered to who describes a shop and touch no answer.
//
// All values are SI: m, m³/s, rad.
package trade
