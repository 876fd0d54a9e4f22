package org.plateaubench.bench.serial;

import com.digitalpetri.modbus.Crc16;
import com.digitalpetri.modbus.ModbusRtuFrame;
import com.digitalpetri.modbus.ModbusRtuResponseFrameParser;
import com.digitalpetri.modbus.ModbusRtuResponseFrameParser.Accumulated;
import com.digitalpetri.modbus.ModbusRtuResponseFrameParser.ParseError;
import com.digitalpetri.modbus.ModbusRtuResponseFrameParser.ParserState;
import java.nio.ByteBuffer;
import java.nio.charset.StandardCharsets;
import java.util.HexFormat;

/**
 * Frames of Modbus RTU (Modbus over serial line V1.02, 2.5.1): unit, message, checksum with its low byte first. Requests
 * and answers are unit and message in hexadecimal digits, so that what is said about them can be read; the checksum is
 * added here, and taken off. An answer whose checksum is wrong keeps it, behind a question mark.
 */
final class ModbusFraming implements Framing {

    private static final HexFormat HEX = HexFormat.of();
    private static final int CHECKSUM_BYTES = 2;

    @Override
    public String framed(String request) {
        byte[] message = HEX.parseHex(request);
        int checksum = checksum(message, message.length);
        ByteBuffer frame = ByteBuffer.allocate(message.length + CHECKSUM_BYTES)
                .put(message)
                .put((byte) checksum)
                .put((byte) (checksum >> 8));
        return new String(frame.array(), StandardCharsets.ISO_8859_1);
    }

    @Override
    public int end(StringBuilder received, int searched) {
        ParserState state =
                new ModbusRtuResponseFrameParser().parse(received.toString().getBytes(StandardCharsets.ISO_8859_1));
        if (state instanceof Accumulated accumulated) {
            ModbusRtuFrame frame = accumulated.frame();
            return 1 + frame.pdu().remaining() + CHECKSUM_BYTES;
        }
        return state instanceof ParseError ? received.length() : -1;
    }

    @Override
    public String content(String frame) {
        byte[] bytes = frame.getBytes(StandardCharsets.ISO_8859_1);
        int length = bytes.length - CHECKSUM_BYTES;
        if (length > 0) {
            int found = (bytes[length] & 0xff) | (bytes[length + 1] & 0xff) << 8;
            if (found == checksum(bytes, length)) {
                return HEX.formatHex(bytes, 0, length);
            }
        }
        return "?" + HEX.formatHex(bytes);
    }

    private static int checksum(byte[] bytes, int length) {
        Crc16 crc = new Crc16();
        crc.update(ByteBuffer.wrap(bytes, 0, length));
        return crc.getValue();
    }
}
