package pgtest

import "syscall"

// attributes lets the server end with the test binary, even when that is killed.
func attributes(cred *syscall.Credential) *syscall.SysProcAttr {
	return &syscall.SysProcAttr{Credential: cred, Pdeathsig: syscall.SIGQUIT}
}
