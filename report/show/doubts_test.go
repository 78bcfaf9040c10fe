package show

import (
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/fault"
)

// One survey and several have each their own sentence.
func TestSurveysThatMisfit(t *testing.T) {
	one := DoubtWords(fault.Doubt{Kind: fault.SurveysMisfit, Count: 1, File: "may.csv"})
	require.Contains(t, one, "One of the surveys, may.csv, lies further off than its instruments allow")
	require.Contains(t, DoubtWords(fault.Doubt{Kind: fault.SurveysMisfit, Count: 2, File: "may.csv"}), "2 of the surveys lie further off")
}
