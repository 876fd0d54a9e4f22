package org.plateaubench.record;

import java.util.List;

/** Keys that no honest signer has: under some of them one signature holds for every message. */
public final class SmallOrder {

    private SmallOrder() {}

    /**
     * The points whose order divides 8, worked out from the curve's equation (RFC 8032, section 5.1), and encodings with y
     * of p or more; hexadecimal.
     */
    public static List<String> keys() {
        return List.of(
                "0000000000000000000000000000000000000000000000000000000000000000",
                "0000000000000000000000000000000000000000000000000000000000000080",
                "0100000000000000000000000000000000000000000000000000000000000000",
                "0100000000000000000000000000000000000000000000000000000000000080",
                "ecffffffffffffffffffffffffffffffffffffffffffffffffffffffffffff7f",
                "ecffffffffffffffffffffffffffffffffffffffffffffffffffffffffffffff",
                "26e8958fc2b227b045c3f489f2ef98f0d5dfac05d3c63339b13802886d53fc05",
                "26e8958fc2b227b045c3f489f2ef98f0d5dfac05d3c63339b13802886d53fc85",
                "c7176a703d4dd84fba3c0b760d10670f2a2053fa2c39ccc64ec7fd7792ac037a",
                "c7176a703d4dd84fba3c0b760d10670f2a2053fa2c39ccc64ec7fd7792ac03fa",
                "edffffffffffffffffffffffffffffffffffffffffffffffffffffffffffff7f",
                "eeffffffffffffffffffffffffffffffffffffffffffffffffffffffffffff7f",
                "edffffffffffffffffffffffffffffffffffffffffffffffffffffffffffffff",
                "ffffffffffffffffffffffffffffffffffffffffffffffffffffffffffffffff");
    }
}
