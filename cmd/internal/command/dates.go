package command

import (
	"errors"

	"github.com/spf13/cobra"

	"lostair/cmd/internal/console"
	"lostair/readings/dates"
)

// DatesFlag lets a command be told once how dates like 3/7/2026 are read.
func DatesFlag(cmd *cobra.Command, s *console.Streams) {
	s.Dates = new(dates.Order)
	cmd.Flags().Var((*dateOrder)(s.Dates), "dates", "how dates like 3/7/2026 are written: mdy or dmy; left out: as all rows of a file can be read")
}

// dateOrder is the order as the value of a flag.
type dateOrder dates.Order

func (d *dateOrder) String() string { return dates.Order(*d).String() }

func (d *dateOrder) Type() string { return "string" }

func (d *dateOrder) Set(text string) error {
	o, ok := dates.OrderNamed(text)
	if !ok {
		return errors.New("use mdy or dmy")
	}
	*d = dateOrder(o)
	return nil
}
