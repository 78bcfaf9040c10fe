package keys

import (
	"encoding/json"
	"strings"

	"lostair/readings/units"
)

// Schema is the JSON Schema (2020-12) of the system file, made from the tables
// of keys, for editors that complete and check YAML by a schema.
func Schema() []byte {
	defs := map[string]any{}
	for _, s := range sections[1:] {
		if s.Name != "collector.fan.curve" {
			defs[s.Name] = s.schema()
		}
	}
	top := sections[0].schema()
	top["$schema"] = "https://json-schema.org/draft/2020-12/schema"
	top["title"] = "lostair system file"
	top["$defs"] = defs
	out, err := json.MarshalIndent(top, "", "  ")
	if err != nil {
		panic(err) // maps of strings, numbers and lists
	}
	return append(out, '\n')
}

// schema of a section: an object with its keys and no others.
func (s *Section) schema() map[string]any {
	props := map[string]any{}
	var needed []string
	for i := range s.Keys {
		k := &s.Keys[i]
		props[k.Name] = k.schema()
		if k.Needed {
			needed = append(needed, k.Name)
		}
	}
	out := map[string]any{"type": "object", "properties": props, "additionalProperties": false}
	if len(needed) > 0 {
		out["required"] = needed
	}
	return out
}

// number is a number, or text that begins with one and may give its unit.
func number() []any {
	return []any{map[string]any{"type": "number"}, map[string]any{"type": "string", "pattern": `^\s*[-+]?[0-9.,]`}}
}

func (k *Key) schema() map[string]any {
	out := map[string]any{"description": k.describe()}
	switch k.Form {
	case Text, Name:
		if k.Section != "" {
			out["anyOf"] = append([]any{map[string]any{"type": []string{"string", "number"}}}, k.inner())
			break
		}
		out["type"] = []string{"string", "number"}
	case Amount, Angle:
		out["anyOf"] = number()
		if k.Section != "" {
			out["anyOf"] = append(number(), k.inner())
		}
	case Whole:
		out["type"], out["minimum"] = "integer", k.Min
	case YesNo:
		out["enum"] = []any{true, false, "yes", "no"}
	case Choice:
		out["enum"] = k.Choices
	case Mixed:
		out["anyOf"] = append(number(), map[string]any{"enum": k.Choices})
	case Inner:
		if k.True {
			out["anyOf"] = []any{k.inner(), map[string]any{"enum": []any{true, false, "yes", "no"}}}
			break
		}
		out["$ref"] = "#/$defs/" + k.Section
	case Rows:
		out["type"], out["items"] = "array", map[string]any{"$ref": "#/$defs/" + k.Section}
	case Pairs:
		out["type"] = "array"
		out["items"] = map[string]any{"type": "array", "minItems": 2, "maxItems": 2, "items": map[string]any{"anyOf": number()}}
	case TapList:
		out["type"], out["additionalProperties"] = "object", map[string]any{"anyOf": number()}
	case Settings, Names:
		out["type"], out["items"] = "array", map[string]any{"type": []string{"string", "number"}}
	case List:
		out["type"], out["items"] = "array", map[string]any{"enum": k.Choices}
	}
	return out
}

// inner is the keys that may stand in place of a single value.
func (k *Key) inner() map[string]any { return map[string]any{"$ref": "#/$defs/" + k.Section} }

// describe says what a key is, in which units a bare number is read, and what
// holds without it.
func (k *Key) describe() string {
	parts := []string{k.What}
	if m, u := k.Dim.Symbol(units.Metric), k.Dim.Symbol(units.US); m != "" && k.Dim != units.Number {
		if m == u {
			parts = append(parts, "in "+m)
		} else {
			parts = append(parts, "in "+m+" or "+u)
		}
	}
	if k.Default != "" {
		parts = append(parts, "left out: "+k.Default)
	}
	return strings.Join(parts, "; ")
}
