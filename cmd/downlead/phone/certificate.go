package phone

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"errors"
	"fmt"
	"io/fs"
	"math/big"
	"net"
	"net/netip"
	"os"
	"strings"
	"time"
)

const (
	keyFile         = "key.pem"
	certificateFile = "certificate.pem"

	// certificateTime is how long a certificate is good for: the most that
	// every browser takes (CA/Browser Forum Baseline Requirements, 6.3.2).
	certificateTime = 397 * 24 * time.Hour
	// clockSlack is how far a phone's clock may be behind.
	clockSlack = 48 * time.Hour
	// renewBefore is how long before its end a certificate is made anew.
	renewBefore = 30 * 24 * time.Hour
)

// Certificate returns the machine's certificate for an address, signed by the
// machine itself. Key and certificate are made once and kept, so that the
// phone warns once; the certificate is made anew with the same key for another
// address, and before it ends.
func (f Folder) Certificate(address netip.Addr, now time.Time) (tls.Certificate, error) {
	key, err := f.key()
	if err != nil {
		return tls.Certificate{}, err
	}
	kept, err := f.keptCertificate(key)
	if err == nil && kept.Leaf.VerifyHostname(address.String()) == nil && now.After(kept.Leaf.NotBefore) && now.Before(kept.Leaf.NotAfter.Add(-renewBefore)) {
		return kept, nil
	}
	serial, err := rand.Int(rand.Reader, new(big.Int).Lsh(big.NewInt(1), 127))
	if err != nil {
		return tls.Certificate{}, err
	}
	who := &x509.Certificate{
		SerialNumber: serial, Subject: pkix.Name{CommonName: "downlead on " + hostName()},
		NotBefore: now.Add(-clockSlack), NotAfter: now.Add(certificateTime - clockSlack),
		KeyUsage: x509.KeyUsageDigitalSignature, ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth},
		BasicConstraintsValid: true, IPAddresses: []net.IP{address.AsSlice()},
	}
	der, err := x509.CreateCertificate(rand.Reader, who, who, key.Public(), key)
	if err != nil {
		return tls.Certificate{}, fmt.Errorf("make the phone's certificate: %w", err)
	}
	if err := f.writeFile(certificateFile, pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: der})); err != nil {
		return tls.Certificate{}, err
	}
	return f.keptCertificate(key)
}

func hostName() string {
	name, err := os.Hostname()
	if err != nil {
		return "this machine"
	}
	return name
}

// key is the machine's own key, made when there is none.
func (f Folder) key() (*ecdsa.PrivateKey, error) {
	b, err := os.ReadFile(f.path(keyFile))
	if errors.Is(err, fs.ErrNotExist) {
		return f.newKey()
	}
	if err != nil {
		return nil, fmt.Errorf("the phone's key: %w", err)
	}
	block, _ := pem.Decode(b)
	if block == nil {
		return nil, fmt.Errorf("%s is no key; delete it, and pair the phone again", f.path(keyFile))
	}
	key, err := x509.ParsePKCS8PrivateKey(block.Bytes)
	mine, ok := key.(*ecdsa.PrivateKey)
	if err != nil || !ok {
		return nil, fmt.Errorf("%s is damaged; delete it, and pair the phone again", f.path(keyFile))
	}
	return mine, nil
}

func (f Folder) newKey() (*ecdsa.PrivateKey, error) {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return nil, err
	}
	der, err := x509.MarshalPKCS8PrivateKey(key)
	if err != nil {
		return nil, err
	}
	return key, f.writeFile(keyFile, pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: der}))
}

func (f Folder) keptCertificate(key *ecdsa.PrivateKey) (tls.Certificate, error) {
	b, err := os.ReadFile(f.path(certificateFile))
	if err != nil {
		return tls.Certificate{}, err
	}
	block, _ := pem.Decode(b)
	if block == nil {
		return tls.Certificate{}, errors.New("no certificate")
	}
	leaf, err := x509.ParseCertificate(block.Bytes)
	if err != nil {
		return tls.Certificate{}, err
	}
	if public, ok := leaf.PublicKey.(*ecdsa.PublicKey); !ok || !key.PublicKey.Equal(public) {
		return tls.Certificate{}, errors.New("the certificate is of another key")
	}
	return tls.Certificate{Certificate: [][]byte{block.Bytes}, PrivateKey: key, Leaf: leaf}, nil
}

// Fingerprint is the SHA-256 of a certificate, as browsers show it.
func Fingerprint(c tls.Certificate) string {
	sum := sha256.Sum256(c.Certificate[0])
	parts := make([]string, len(sum))
	for i, b := range sum {
		parts[i] = fmt.Sprintf("%02X", b)
	}
	return strings.Join(parts, ":")
}

// KeptCertificate is the certificate that was made last, nil where none was.
func (f Folder) KeptCertificate() (*tls.Certificate, error) {
	if _, err := os.Stat(f.path(certificateFile)); errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	key, err := f.key()
	if err != nil {
		return nil, err
	}
	c, err := f.keptCertificate(key)
	if err != nil {
		return nil, fmt.Errorf("%s is damaged; delete it, and pair the phone again", f.path(certificateFile))
	}
	return &c, nil
}
