//go:build unix && !linux

package pgtest

import "syscall"

// attributes: no death signal here, a killed test binary leaves its server running.
func attributes(cred *syscall.Credential) *syscall.SysProcAttr {
	return &syscall.SysProcAttr{Credential: cred}
}
