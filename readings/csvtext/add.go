package csvtext

import (
	"bytes"
	"encoding/csv"
	"errors"
	"strings"
)

// Append gives a file with one row of fields more; what is there stays to the byte.
func Append(data []byte, fields []string, sep rune) ([]byte, error) {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	w.Comma = sep
	if err := errors.Join(w.Write(fields), flushed(w)); err != nil {
		return nil, err
	}
	return AppendLine(data, strings.TrimSuffix(b.String(), "\n")), nil
}

func flushed(w *csv.Writer) error {
	w.Flush()
	return w.Error()
}

// AppendLine gives a file with one line more, ended as the file ends its lines.
func AppendLine(data []byte, line string) []byte {
	end := "\n"
	if bytes.Contains(data, []byte("\r\n")) {
		end = "\r\n"
	}
	out := bytes.Clone(data)
	if len(out) > 0 && !bytes.HasSuffix(out, []byte("\n")) {
		out = append(out, end...)
	}
	return append(out, line+end...)
}
