package trade

// Material is a duct wall by its name in the system file.
type Material struct {
	Name      string
	Roughness float64 // absolute, m
	What      string
	Source    string
	Status    string // read, quoted, or value from memory
}

// fromMemory is the status of a value that no source was at hand for.
const fromMemory = "value from memory"

const roughnessClasses = "ASHRAE Handbook Fundamentals, duct design, table of roughness classes"

var materials = [...]Material{
	{"smooth", 1.5e-6, "drawn or very smooth tube", "L. F. Moody, Friction factors for pipe flow, Trans. ASME 66 (1944): drawn tubing 0.0015 mm", fromMemory},
	{"pvc", 3e-5, "plastic pipe, joints included", roughnessClasses + ": smooth, 0.03 mm", fromMemory},
	{"galvanised", 9e-5, "galvanised sheet metal with lengthwise seams", roughnessClasses + ": medium smooth, 0.09 mm (older charts: 0.15 mm)", fromMemory},
	{"spiral", 9e-5, "spiral-seam pipe of galvanised sheet metal", roughnessClasses + ": medium smooth, 0.09 mm", fromMemory},
	{"flexible", 3e-3, "corrugated or wire-wound hose, stretched out", roughnessClasses + ": rough, 3 mm, fully stretched (newer tables: medium rough, 0.9 mm; the spread of a hose's friction holds both)", fromMemory},
}

// Materials lists the materials that the system file knows, smoothest first.
func Materials() []Material { return append([]Material(nil), materials[:]...) }

// MaterialNamed returns the material of that name, or false.
func MaterialNamed(name string) (Material, bool) {
	for _, m := range materials {
		if m.Name == name {
			return m, true
		}
	}
	return Material{}, false
}

// MaterialNames lists the names of the materials, smoothest first.
func MaterialNames() []string {
	var out []string
	for _, m := range materials {
		out = append(out, m.Name)
	}
	return out
}
