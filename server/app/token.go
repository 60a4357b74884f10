package app

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"

	"github.com/google/uuid"

	"roodbeam/server/auth"
	"roodbeam/server/store"
)

// tokenFile holds the administrator's token beside the embedded store.
const tokenFile = "admin-token"

// adminID is the fixed id of the administrator's token and person, so that a
// second start finds what the first one made.
var adminID = uuid.MustParse("0197a000-0000-7000-8000-00000000ad01")

// adminToken returns the administrator's secret: from the file of an earlier
// start, from the environment for servers on Postgres, or made now.
func adminToken(ctx context.Context, st store.Journal, cfg Config) (string, error) {
	if secret := os.Getenv("ROODBEAM_ADMIN_TOKEN"); secret != "" {
		return secret, putAdmin(ctx, st, cfg, secret)
	}
	if cfg.Postgres != "" {
		return "", nil
	}
	if err := EnsureDir(cfg.DataDir); err != nil {
		return "", err
	}
	path := filepath.Join(cfg.DataDir, tokenFile)
	if raw, err := os.ReadFile(path); err == nil {
		secret := strings.TrimSpace(string(raw))
		return secret, putAdmin(ctx, st, cfg, secret)
	} else if !errors.Is(err, os.ErrNotExist) {
		return "", err
	}
	secret := auth.NewSecret()
	if err := os.WriteFile(path, []byte(secret+"\n"), 0o600); err != nil {
		return "", err
	}
	return secret, putAdmin(ctx, st, cfg, secret)
}

// putAdmin makes the secret known. One that is known already stays as it is.
func putAdmin(ctx context.Context, st store.Journal, cfg Config, secret string) error {
	hash := auth.HashSecret(secret)
	if _, err := st.TokenByHash(ctx, hash); err == nil {
		return nil
	} else if !errors.Is(err, store.ErrNotFound) {
		return err
	}
	now := cfg.Now()
	if _, err := st.Person(ctx, adminID); errors.Is(err, store.ErrNotFound) {
		if err := st.PutPerson(ctx, store.Person{ID: adminID, Name: "Server owner", Created: now}); err != nil {
			return err
		}
	}
	id, err := uuid.NewV7()
	if err != nil {
		return err
	}
	return st.PutToken(ctx, store.Token{ID: id, Secret: hash, Label: "Server owner", Person: adminID, Role: string(auth.Admin), Created: now})
}
