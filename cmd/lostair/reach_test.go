package main

import (
	"bytes"
	"os/exec"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The program opens no network connection and starts no program: what could do
// so is not even linked in. (A flag library wants package net for the type of
// an address; all that opens a connection with it is looked for in our code.)
func TestReachesNothing(t *testing.T) {
	out, err := exec.Command("go", "list", "-deps", ".").Output()
	require.NoError(t, err)
	deps := strings.Fields(string(out))
	require.Contains(t, deps, "lostair/diagnose", "the list is not that of the program")
	for _, p := range []string{"net/http", "net/rpc", "net/smtp", "crypto/tls", "os/exec", "plugin", "log/syslog"} {
		assert.NotContains(t, deps, p)
	}
	out, err = exec.Command("go", "list", "-f", `{{join .Imports " "}}`, "../../...").Output()
	require.NoError(t, err)
	for _, im := range bytes.Fields(out) {
		assert.NotContains(t, []string{"net", "syscall", "unsafe", "C"}, string(im), "our own code")
	}
}
