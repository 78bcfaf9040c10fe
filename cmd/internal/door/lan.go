package door

import (
	"bufio"
	"io"
	"net"

	"rsc.io/qr"
)

// Addresses are this machine's own in the networks that it is in.
func Addresses() []string {
	all, err := net.InterfaceAddrs()
	if err != nil {
		return nil
	}
	var out []string
	for _, a := range all {
		n, ok := a.(*net.IPNet)
		if ok && n.IP.To4() != nil && n.IP.IsGlobalUnicast() {
			out = append(out, n.IP.String())
		}
	}
	return out
}

// DrawQR draws text as a QR code of block characters, two rows in one line, dark
// on light whatever the terminal's colours are.
func DrawQR(w io.Writer, text string) error {
	c, err := qr.Encode(text, qr.L)
	if err != nil {
		return err
	}
	const quiet = 4 // light cells around it
	out := bufio.NewWriter(w)
	for y := -quiet; y < c.Size+quiet; y += 2 {
		out.WriteString("\x1b[30;107m")
		for x := -quiet; x < c.Size+quiet; x++ {
			out.WriteRune(blocks[bit(c.Black(x, y))+2*bit(c.Black(x, y+1))])
		}
		out.WriteString("\x1b[0m\n")
	}
	return out.Flush()
}

// blocks by what is dark: nothing, the upper half, the lower, both.
var blocks = [...]rune{' ', '▀', '▄', '█'}

func bit(b bool) int {
	if b {
		return 1
	}
	return 0
}

// PictureQR is text as a QR code in a PNG picture.
func PictureQR(text string) ([]byte, error) {
	c, err := qr.Encode(text, qr.M)
	if err != nil {
		return nil, err
	}
	c.Scale = 6
	return c.PNG(), nil
}
