package upkeep

import (
	"fmt"
	"os/exec"
	"strings"

	"downlead/cmd/downlead/cli"
	"downlead/cmd/downlead/listen"
	"downlead/cmd/downlead/phone"
)

// lookAtPhone says where a phone could reach this machine, what may stand in
// its way, and by which certificate it knows the machine.
func lookAtPhone(e *cli.Env) ailment {
	addresses, err := phone.Addresses()
	if err != nil {
		return ailment{"phone", false, err.Error(), ""}
	}
	if len(addresses) == 0 {
		return ailment{"phone", false, "this machine is on no network", "switch on the phone's hotspot and join it; then: downlead listen --phone"}
	}
	names := make([]string, len(addresses))
	for i, a := range addresses {
		names[i] = a.String()
	}
	detail := fmt.Sprintf("a phone reaches %s, port %d", strings.Join(names, " or "), phone.Port)
	switch c, err := listen.PhoneFolder(e).KeptCertificate(); {
	case err != nil:
		return ailment{"phone", false, detail + "; " + err.Error(), ""}
	case c == nil:
		detail += "; the certificate is made by the first listen --phone"
	default:
		detail += fmt.Sprintf("; certificate until %s, SHA-256 %s", c.Leaf.NotAfter.Format("2006-01-02"), phone.Fingerprint(*c))
	}
	return ailment{"phone", true, detail, firewallHint()}
}

// firewallHint is the command that lets the phone through, where a firewall is
// installed that may stand in its way.
func firewallHint() string {
	for program, command := range map[string]string{
		"ufw":          fmt.Sprintf("ufw allow %d/tcp", phone.Port),
		"firewall-cmd": fmt.Sprintf("firewall-cmd --add-port=%d/tcp", phone.Port),
	} {
		if _, err := exec.LookPath(program); err == nil {
			return "if the phone cannot open the page, let it through the firewall, as root: " + command
		}
	}
	return ""
}
