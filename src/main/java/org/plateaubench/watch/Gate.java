package org.plateaubench.watch;

import com.sun.net.httpserver.Headers;
import java.net.InetAddress;
import java.nio.charset.StandardCharsets;
import java.security.MessageDigest;
import java.security.SecureRandom;
import java.util.HexFormat;
import java.util.Optional;

/**
 * Who may look at the live page. On the loopback address everybody on this computer; on any other only who has the token
 * of this run. A page of another origin gets nothing, nor does a name that was made to point here: the host that a
 * browser asks for must be an IP address or localhost.
 */
final class Gate {

    private static final int TOKEN_BYTES = 16;
    private static final String COOKIE = "plateau-token=";

    private final boolean loopback;
    private final int port;
    private final Optional<String> token;

    Gate(InetAddress address, int port) {
        this.loopback = address.isLoopbackAddress();
        this.port = port;
        byte[] bytes = new byte[TOKEN_BYTES];
        new SecureRandom().nextBytes(bytes);
        this.token = loopback ? Optional.empty() : Optional.of(HexFormat.of().formatHex(bytes));
    }

    /** The token of this run, where one is needed. */
    Optional<String> token() {
        return token;
    }

    /** Why a request is refused, or empty. */
    Optional<String> refusal(Headers headers, String query) {
        String host = headers.getFirst("Host");
        if (host == null || headers.get("Host").size() != 1 || !isHere(host)) {
            return Optional.of("this page is asked for by its IP address or localhost, and its port");
        }
        String origin = headers.getFirst("Origin");
        if (origin != null && !origin.equals("http://" + host)) {
            return Optional.of("other pages may not ask");
        }
        if (token.isPresent() && !hasToken(headers, query)) {
            return Optional.of("the address with the token is printed where the run was started");
        }
        return Optional.empty();
    }

    private boolean isHere(String host) {
        int colon = host.lastIndexOf(':');
        boolean portGiven = colon > host.lastIndexOf(']') && colon >= 0;
        String name = portGiven ? host.substring(0, colon) : host;
        if (!(portGiven ? host.substring(colon + 1) : "80").equals(Integer.toString(port))) {
            return false;
        }
        InetAddress address = WatchAddress.literal(name);
        return address != null && (!loopback || address.isLoopbackAddress());
    }

    private boolean hasToken(Headers headers, String query) {
        boolean has = isToken(query == null ? "" : query.replaceFirst("^token=", ""));
        String bearer = headers.getFirst("Authorization");
        has |= bearer != null && isToken(bearer.replaceFirst("^Bearer ", ""));
        for (String line : headers.getOrDefault("Cookie", java.util.List.of())) {
            for (String cookie : line.split("; *")) {
                has |= cookie.startsWith(COOKIE) && isToken(cookie.substring(COOKIE.length()));
            }
        }
        return has;
    }

    /** Compares in a time that tells nothing of where they differ. */
    private boolean isToken(String given) {
        return MessageDigest.isEqual(
                given.getBytes(StandardCharsets.UTF_8), token.orElseThrow().getBytes(StandardCharsets.UTF_8));
    }

    /** A cookie that keeps the token out of addresses from then on. */
    String cookie() {
        return COOKIE + token.orElseThrow() + "; Path=/; HttpOnly; SameSite=Strict";
    }
}
