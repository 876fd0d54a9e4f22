package org.plateaubench.record;

import java.nio.charset.StandardCharsets;
import java.security.InvalidKeyException;
import java.util.Base64;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/** PEM text (RFC 7468): one block between its BEGIN and END lines. */
final class Pem {

    private static final Pattern BLOCK = Pattern.compile(
            "\\s*-----BEGIN ([A-Z ]{1,40})-----\\R([A-Za-z0-9+/=\\r\\n]{1,20000})-----END ([A-Z ]{1,40})-----\\s*");

    private Pem() {}

    static String encode(String label, byte[] der) {
        String body = Base64.getMimeEncoder(64, new byte[] {'\n'}).encodeToString(der);
        return "-----BEGIN " + label + "-----\n" + body + "\n-----END " + label + "-----\n";
    }

    /** The label of the block that a text holds, or "" if it holds no block. */
    static String label(String pem) {
        Matcher block = BLOCK.matcher(pem);
        return block.matches() && block.group(1).equals(block.group(3)) ? block.group(1) : "";
    }

    static byte[] decode(String pem, String label) throws InvalidKeyException {
        if (!label(pem).equals(label)) {
            throw new InvalidKeyException("a PEM block \"" + label + "\" is needed, found "
                    + (label(pem).isEmpty() ? "none" : "\"" + label(pem) + "\""));
        }
        Matcher block = BLOCK.matcher(pem);
        if (!block.matches()) {
            throw new IllegalStateException("a block with a label matches");
        }
        String body = block.group(2).replaceAll("[\\r\\n]", "");
        try {
            return Base64.getDecoder().decode(body.getBytes(StandardCharsets.US_ASCII));
        } catch (IllegalArgumentException e) {
            throw new InvalidKeyException("the PEM block \"" + label + "\" is not base64", e);
        }
    }
}
