package phone

import (
	"errors"
	"fmt"
	"net"
	"net/netip"
	"strings"
)

// Port is the port of the phone's page. It stays the same from day to day,
// because what the page keeps belongs to its address, port and all.
const Port = 8077

// ErrNoNetwork says that no phone can reach this machine.
var ErrNoNetwork = errors.New("this machine is on no network that a phone could reach: switch on the phone's hotspot and join it, or join the van's router, or name an address with --address")

// Addresses are this machine's addresses on local networks, the likeliest
// first: that of the route to everywhere else, then IPv4, then the rest.
func Addresses() ([]netip.Addr, error) {
	all, err := net.InterfaceAddrs()
	if err != nil {
		return nil, fmt.Errorf("list this machine's addresses: %w", err)
	}
	var out, later []netip.Addr
	routed := routedAddress()
	for _, a := range all {
		prefix, err := netip.ParsePrefix(a.String())
		if err != nil {
			continue
		}
		switch ip := prefix.Addr().Unmap(); {
		case !ip.IsGlobalUnicast():
		case ip == routed:
			out = append([]netip.Addr{ip}, out...)
		case ip.Is4():
			out = append(out, ip)
		default:
			later = append(later, ip)
		}
	}
	return append(out, later...), nil
}

// routedAddress is the address that this machine would speak from to the world
// outside. Nothing is sent: 192.0.2.1 is nobody (RFC 5737).
func routedAddress() netip.Addr {
	c, err := net.Dial("udp4", "192.0.2.1:9")
	if err != nil {
		return netip.Addr{}
	}
	defer c.Close()
	return c.LocalAddr().(*net.UDPAddr).AddrPort().Addr().Unmap()
}

// ChooseAddress is the address to serve on: the one that was named, which must
// be this machine's, or the likeliest.
func ChooseAddress(named string) (netip.Addr, error) {
	have, err := Addresses()
	if err != nil {
		return netip.Addr{}, err
	}
	if named == "" {
		if len(have) == 0 {
			return netip.Addr{}, ErrNoNetwork
		}
		return have[0], nil
	}
	ip, err := netip.ParseAddr(named)
	if err != nil {
		return netip.Addr{}, fmt.Errorf("%q is no address; %s", named, list(have))
	}
	if ip.IsUnspecified() {
		return netip.Addr{}, fmt.Errorf("%s is every address of this machine; name the one that the phone is to use: %s", ip, list(have))
	}
	if ip.IsLoopback() { // for a phone on the other end of a cable, and for trying it out
		return ip, nil
	}
	for _, a := range have {
		if a == ip {
			return ip, nil
		}
	}
	return netip.Addr{}, fmt.Errorf("%s is not an address of this machine; %s", ip, list(have))
}

func list(have []netip.Addr) string {
	if len(have) == 0 {
		return "it has none on a network"
	}
	names := make([]string, len(have))
	for i, a := range have {
		names[i] = a.String()
	}
	return "it has " + strings.Join(names, ", ")
}
