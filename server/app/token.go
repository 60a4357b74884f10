package app

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/google/uuid"

	"roodbeam/server/auth"
	"roodbeam/server/store"
)

// tokenFile holds the administrator's token beside the embedded store.
const tokenFile = "admin-token"

// leastSecret is the least length of a secret somebody chose: 128 bits as
// hexadecimal digits.
const leastSecret = 32

// adminLabel marks the administrator's own token.
const adminLabel = "Server owner"

// adminID is the fixed id of the administrator's token and person, so that a
// second start finds what the first one made.
var adminID = uuid.MustParse("0197a000-0000-7000-8000-00000000ad01")

// adminToken returns the administrator's secret: from the file of an earlier
// start, from the environment for servers on Postgres, or made now.
func adminToken(ctx context.Context, st store.Journal, cfg Config) (string, error) {
	if secret := os.Getenv("ROODBEAM_ADMIN_TOKEN"); secret != "" {
		if len(secret) < leastSecret {
			return "", fmt.Errorf("ROODBEAM_ADMIN_TOKEN has %d characters; at least %d are wanted", len(secret), leastSecret)
		}
		return secret, putAdmin(ctx, st, cfg, secret)
	}
	if cfg.Postgres != "" {
		page, err := st.ListTokens(ctx, store.TokenFilter{Person: adminID}, store.Page{Size: 1})
		if err == nil && len(page.Tokens) == 0 {
			cfg.Log.Warn().Msg("nobody can sign in: set ROODBEAM_ADMIN_TOKEN and start again")
		}
		return "", err
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
	if t, err := st.TokenByHash(ctx, hash); err == nil {
		if !t.Live(cfg.Now()) {
			return errors.New("the administrator's token was revoked or replaced; choose another")
		}
		return nil
	} else if !errors.Is(err, store.ErrNotFound) {
		return err
	}
	now := cfg.Now()
	if _, err := st.Person(ctx, adminID); errors.Is(err, store.ErrNotFound) {
		if err := st.PutPerson(ctx, store.Person{ID: adminID, Name: adminLabel, Created: now}); err != nil {
			return err
		}
	}
	// A secret that was replaced lets nobody in any more.
	for page := (store.Page{Size: store.MaxPageSize}); ; {
		old, err := st.ListTokens(ctx, store.TokenFilter{Person: adminID}, page)
		if err != nil {
			return err
		}
		for _, t := range old.Tokens {
			if t.Label == adminLabel && t.Role == string(auth.Admin) {
				if err := st.RevokeToken(ctx, t.ID, now); err != nil {
					return err
				}
			}
		}
		if page.Token = old.Next; page.Token == "" {
			break
		}
	}
	id, err := uuid.NewV7()
	if err != nil {
		return err
	}
	return st.PutToken(ctx, store.Token{ID: id, Secret: hash, Label: adminLabel, Person: adminID, Role: string(auth.Admin), Created: now})
}
