package postgres

import "context"

// Setting returns a server setting as one of the store's connections has it.
func Setting(ctx context.Context, s *Store, name string) (value string, err error) {
	err = s.pool.QueryRow(ctx, "SELECT current_setting($1)", name).Scan(&value)
	return value, err
}
