package door

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"os"
	"path/filepath"
)

// Kept is what is used again for a folder, so that what a browser kept under its
// address finds its way home.
type Kept struct {
	Folder string `json:"folder"`
	Port   string `json:"port"`
	Key    string `json:"key"`
}

// Recall is what was kept for a folder, in the user's folder of settings. The
// zero Kept: nothing, or nothing that can be used.
func Recall(settings, folder string) Kept {
	var k Kept
	data, err := os.ReadFile(keptFile(settings, folder))
	if err != nil || json.Unmarshal(data, &k) != nil || k.Folder != folder || len(k.Key) != 32 {
		return Kept{}
	}
	return k
}

// Keep keeps k where only the user may read it.
func Keep(settings string, k Kept) error {
	file := keptFile(settings, k.Folder)
	if err := os.MkdirAll(filepath.Dir(file), 0o700); err != nil {
		return err
	}
	data, err := json.Marshal(k)
	if err != nil {
		return err
	}
	tmp, err := os.CreateTemp(filepath.Dir(file), ".kept-*") // of mode 0600
	if err != nil {
		return err
	}
	defer os.Remove(tmp.Name())
	if _, err = tmp.Write(data); err == nil {
		err = tmp.Sync()
	}
	if closing := tmp.Close(); err == nil {
		err = closing
	}
	if err != nil {
		return err
	}
	return os.Rename(tmp.Name(), file)
}

func keptFile(settings, folder string) string {
	sum := sha256.Sum256([]byte(folder))
	return filepath.Join(settings, "lostair", "serve", hex.EncodeToString(sum[:8])+".json")
}
