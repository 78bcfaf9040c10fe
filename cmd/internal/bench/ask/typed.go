package ask

import (
	"strconv"
	"strings"

	"lostair/cmd/internal/runs"
	"lostair/diagnose/duct/edit"
)

// namesText writes a list of ids.
func namesText(ids []string) string {
	var out []string
	for _, id := range ids {
		out = append(out, edit.Scalar(id))
	}
	return "[" + strings.Join(out, ", ") + "]"
}

// sizePairs are the keys of a row that hold a size as it was typed.
func sizePairs(text string) []string {
	if w, h, ok := runs.SidesOf(text); ok {
		return []string{"width", amountText(w), "height", amountText(h)}
	}
	return []string{"diameter", amountText(text)}
}

// openingText writes the machine's own port as it was typed.
func openingText(text string) string {
	if w, h, ok := runs.SidesOf(text); ok {
		return edit.Row("width", amountText(w), "height", amountText(h))
	}
	return amountOr(text)
}

// amountText makes of what somebody typed what the file is to hold: the number
// as it is, the unit behind it if one was typed.
func amountText(text string) string {
	t := strings.TrimSpace(strings.NewReplacer("−", "-", "–", "-", "\u00a0", " ").Replace(text))
	if i := strings.IndexFunc(t, func(r rune) bool { return !strings.ContainsRune("+-0123456789.,", r) }); i > 0 {
		t = strings.TrimSpace(t[:i]) + " " + strings.TrimSpace(t[i:])
	}
	if strings.Count(t, ",") == 1 && !strings.Contains(t, ".") { // a decimal comma
		if before, after, _ := strings.Cut(t, ","); len(after) != 3 || before == "0" {
			t = before + "." + after
		}
	}
	return plainAmount(t)
}

// plainAmount leaves a number with its unit without quotes, and puts anything else
// into them.
func plainAmount(t string) string {
	number, unit, _ := strings.Cut(t, " ")
	if _, err := strconv.ParseFloat(number, 64); err == nil && strings.IndexFunc(unit, func(r rune) bool {
		return !(r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || strings.ContainsRune("/%²³°", r))
	}) < 0 {
		return t
	}
	return edit.Scalar(t)
}

func amountOr(text string) string {
	if text == "" {
		return ""
	}
	return amountText(text)
}
