package org.plateaubench.watch;

import java.net.InetAddress;
import java.net.UnknownHostException;
import java.util.Locale;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/**
 * Where the live page listens.
 *
 * @param address address of this computer
 * @param port from 0 to 65535; 0: any that is free
 */
public record WatchAddress(InetAddress address, int port) {

    private static final Pattern TEXT = Pattern.compile("(.+):([0-9]{1,5})");
    private static final Pattern LITERAL = Pattern.compile("[0-9]{1,3}(\\.[0-9]{1,3}){3}|\\[?[0-9a-f]*:[0-9a-f:.]*]?");

    /**
     * Reads an address: an IP address or "localhost", a colon, a port. No name is looked up.
     *
     * @param text for example "127.0.0.1:8080" or "[::1]:8080"
     * @return the address
     * @throws IllegalArgumentException if the text is none, with what is needed
     */
    public static WatchAddress of(String text) {
        Matcher parts = TEXT.matcher(text);
        if (!parts.matches() || Integer.parseInt(parts.group(2)) > 0xFFFF) {
            throw new IllegalArgumentException(
                    "an address and a port are needed, such as 127.0.0.1:8080, found '" + text + "'");
        }
        InetAddress address = literal(parts.group(1));
        if (address == null) {
            throw new IllegalArgumentException(
                    "an IP address of this computer or localhost is needed, found '" + parts.group(1) + "'");
        }
        return new WatchAddress(address, Integer.parseInt(parts.group(2)));
    }

    /** The address that a literal or "localhost" stands for, without asking any name server; null for other names. */
    static InetAddress literal(String host) {
        String lower = host.toLowerCase(Locale.ROOT);
        if (lower.equals("localhost")) {
            return InetAddress.getLoopbackAddress();
        }
        if (!LITERAL.matcher(lower).matches()) {
            return null;
        }
        try {
            return InetAddress.getByName(lower);
        } catch (UnknownHostException e) {
            return null;
        }
    }
}
