// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
//
// The module behind video_api.h, by libavformat and libavcodec.
extern "C" {
#include <libavcodec/avcodec.h>
#include <libavformat/avformat.h>
#include <libavutil/log.h>
#include <libavutil/pixdesc.h>
#include <libswscale/swscale.h>
}

#include <algorithm>
#include <cstdio>
#include <cstring>
#include <memory>
#include <stdexcept>
#include <string>
#include <vector>

#include "video/video_api.h"

namespace {

constexpr int kLargestSidePx = 16384;
constexpr std::int64_t kMostFrames = 10'000'000;
// More than this share of the frames lost at the end is no mere cut.
constexpr double kMostLost = 0.1;

struct FormatCloser {
  void operator()(AVFormatContext* context) const { avformat_close_input(&context); }
};
struct CodecCloser {
  void operator()(AVCodecContext* context) const { avcodec_free_context(&context); }
};
struct FrameFreer {
  void operator()(AVFrame* frame) const { av_frame_free(&frame); }
};
struct PacketFreer {
  void operator()(AVPacket* packet) const { av_packet_free(&packet); }
};
struct ScalerFreer {
  void operator()(SwsContext* context) const { sws_freeContext(context); }
};

[[noreturn]] void Fail(const std::string& what) { throw std::runtime_error(what); }

std::string Reason(int code) {
  char text[AV_ERROR_MAX_STRING_SIZE] = {};
  av_strerror(code, text, sizeof text);
  return text;
}

// Grey of more than 8 bits, kept as it is: no scaling of levels.
bool IsWideGrey(AVPixelFormat format) {
  const AVPixFmtDescriptor* const about = av_pix_fmt_desc_get(format);
  return about != nullptr && about->nb_components == 1 && about->comp[0].depth > 8 &&
         about->comp[0].depth <= 16 && about->comp[0].shift == 0 &&
         (about->flags & (AV_PIX_FMT_FLAG_FLOAT | AV_PIX_FMT_FLAG_PAL | AV_PIX_FMT_FLAG_RGB |
                          AV_PIX_FMT_FLAG_BITSTREAM)) == 0;
}

class Video {
 public:
  Video(const char* file, OhmglowVideoInfo& info) {
    OpenFile(file);
    ListFrames();
    OpenCodec();
    const std::int64_t listed = count();
    DropUndecodable();
    info.width_px = width_px_;
    info.height_px = height_px_;
    info.count = count();
    info.lost = listed - count();
    info.pixels = pixels_;
  }

  [[nodiscard]] std::int64_t count() const { return static_cast<std::int64_t>(pts_.size()); }

  void Times(double* time_s) const {
    const double unit_s = av_q2d(stream_->time_base);
    for (std::size_t i = 0; i < pts_.size(); ++i) {
      time_s[i] = unit_s * static_cast<double>(pts_[i] - pts_.front());
    }
  }

  void Read(std::int64_t index, void* pixels, std::size_t num_bytes) {
    if (num_bytes != FrameBytes()) Fail("the room for a frame has the wrong size");
    DecodeTo(pts_.at(static_cast<std::size_t>(index)));
    Store(static_cast<std::uint8_t*>(pixels));
  }

 private:
  void OpenFile(const char* file) {
    AVFormatContext* opened = nullptr;
    // Plain files alone: no list inside may lead to another one or to the network.
    AVDictionary* options = nullptr;
    av_dict_set(&options, "protocol_whitelist", "file", 0);
    av_dict_set(&options, "format_whitelist", "matroska,webm,mov,mp4,m4a,3gp,3g2,mj2,avi", 0);
    const int code = avformat_open_input(&opened, file, nullptr, &options);
    av_dict_free(&options);
    if (code < 0) {
      Fail("is no video that can be read (MKV, MP4, MOV, AVI; " + Reason(code) + ")");
    }
    format_.reset(opened);
    if (const int found = avformat_find_stream_info(opened, nullptr); found < 0) {
      Fail("holds no stream that can be read (" + Reason(found) + ")");
    }
    const int best = av_find_best_stream(opened, AVMEDIA_TYPE_VIDEO, -1, -1, &decoder_, 0);
    if (best < 0 || decoder_ == nullptr) Fail("holds no video that can be decoded");
    stream_ = opened->streams[best];
    for (unsigned i = 0; i < opened->nb_streams; ++i) {
      if (static_cast<int>(i) != best) opened->streams[i]->discard = AVDISCARD_ALL;
    }
  }

  // Times of all frames, by walking the file without decoding.
  void ListFrames() {
    while (av_read_frame(format_.get(), packet_.get()) >= 0) {
      const bool ours = packet_->stream_index == stream_->index;
      const std::int64_t pts = packet_->pts != AV_NOPTS_VALUE ? packet_->pts : packet_->dts;
      const bool shown = (packet_->flags & AV_PKT_FLAG_DISCARD) == 0;
      av_packet_unref(packet_.get());
      if (!ours || !shown) continue;
      if (pts == AV_NOPTS_VALUE) Fail("its frames have no times; convert it to MKV");
      pts_.push_back(pts);
      if (count() > kMostFrames) Fail("holds more frames than any capture");
    }
    std::sort(pts_.begin(), pts_.end());
    if (std::adjacent_find(pts_.begin(), pts_.end()) != pts_.end()) {
      Fail("two of its frames have the same time");
    }
    if (pts_.empty()) Fail("holds no frame");
  }

  void OpenCodec() {
    codec_.reset(avcodec_alloc_context3(decoder_));
    if (!codec_ || avcodec_parameters_to_context(codec_.get(), stream_->codecpar) < 0) {
      Fail("its kind of video cannot be set up");
    }
    codec_->pkt_timebase = stream_->time_base;
    codec_->thread_count = 1;
    codec_->max_pixels = std::int64_t{kLargestSidePx} * kLargestSidePx;
    if (const int code = avcodec_open2(codec_.get(), decoder_, nullptr); code < 0) {
      Fail("its kind of video cannot be decoded (" + Reason(code) + ")");
    }
    Rewind(pts_.front());
    DecodeTo(pts_.front());
    // The container's word for the size does not count, a frame may differ.
    if (frame_->width < 1 || frame_->height < 1 || frame_->width > kLargestSidePx ||
        frame_->height > kLargestSidePx) {
      Fail("its size is not believable; is the file damaged?");
    }
    const auto format = static_cast<AVPixelFormat>(frame_->format);
    pixels_ = format == AV_PIX_FMT_GRAY8 ? OHMGLOW_GREY8
              : IsWideGrey(format)       ? OHMGLOW_GREY16
                                         : OHMGLOW_BGR8;
    width_px_ = frame_->width;
    height_px_ = frame_->height;
    format_of_frames_ = format;
  }

  // A recording that was cut off lacks its last frames.
  void DropUndecodable() {
    const auto least =
        static_cast<std::size_t>(std::max(1.0, (1 - kMostLost) * static_cast<double>(pts_.size())));
    while (pts_.size() >= least) {
      try {
        DecodeTo(pts_.back());
        return;
      } catch (const std::runtime_error&) {
        pts_.pop_back();
        decoded_ = AV_NOPTS_VALUE;
      }
    }
    Fail("more than a tenth of its frames cannot be decoded; copy it again");
  }

  void Rewind(std::int64_t pts) {
    if (av_seek_frame(format_.get(), stream_->index, pts, AVSEEK_FLAG_BACKWARD) < 0 &&
        av_seek_frame(format_.get(), stream_->index, 0, AVSEEK_FLAG_BYTE) < 0) {
      Fail("cannot be read from the start again");
    }
    avcodec_flush_buffers(codec_.get());
    at_end_ = false;
    decoded_ = AV_NOPTS_VALUE;
  }

  // Leaves the frame of that time in `frame_`.
  void DecodeTo(std::int64_t pts) {
    if (decoded_ == pts) return;
    // Far ahead a key frame may be nearer than the next frame.
    const std::int64_t step = count() > 1 ? (pts_.back() - pts_.front()) / (count() - 1) : 1;
    if (decoded_ == AV_NOPTS_VALUE || decoded_ > pts || decoded_ + kFar * step < pts) Rewind(pts);
    while (NextFrame()) {
      if (decoded_ == pts) return;
      if (decoded_ > pts) break;
    }
    Fail("a frame cannot be decoded");
  }

  bool NextFrame() {
    for (;;) {
      const int code = avcodec_receive_frame(codec_.get(), frame_.get());
      if (code >= 0) {
        decoded_ = frame_->best_effort_timestamp;
        return true;
      }
      if (code != AVERROR(EAGAIN) || at_end_) return false;
      SendPacket();
    }
  }

  void SendPacket() {
    while (av_read_frame(format_.get(), packet_.get()) >= 0) {
      const bool ours = packet_->stream_index == stream_->index;
      // A damaged packet costs its frame, which is then missed by its time.
      if (ours) static_cast<void>(avcodec_send_packet(codec_.get(), packet_.get()));
      av_packet_unref(packet_.get());
      if (ours) return;
    }
    at_end_ = true;
    static_cast<void>(avcodec_send_packet(codec_.get(), nullptr));
  }

  [[nodiscard]] std::size_t RowBytes() const {
    const std::size_t pixel = pixels_ == OHMGLOW_BGR8 ? 3 : pixels_ == OHMGLOW_GREY16 ? 2 : 1;
    return static_cast<std::size_t>(width_px_) * pixel;
  }
  [[nodiscard]] std::size_t FrameBytes() const {
    return RowBytes() * static_cast<std::size_t>(height_px_);
  }

  void CheckLikeFirst() const {
    const auto size = [](int width_px, int height_px) {
      return std::to_string(width_px) + " x " + std::to_string(height_px) + " px";
    };
    if (frame_->width != width_px_ || frame_->height != height_px_) {
      Fail("is " + size(frame_->width, frame_->height) + " and the first frame " +
           size(width_px_, height_px_) + "; all frames must be alike");
    }
    if (frame_->format != format_of_frames_) {
      Fail("has another kind of pixels than the first frame; all frames must be alike");
    }
  }

  void Store(std::uint8_t* out) {
    CheckLikeFirst();
    if (pixels_ == OHMGLOW_BGR8) return StoreColour(out);
    const std::size_t row = RowBytes();
    for (int y = 0; y < height_px_; ++y) {
      std::memcpy(out + static_cast<std::size_t>(y) * row,
                  frame_->data[0] + static_cast<std::ptrdiff_t>(y) * frame_->linesize[0],
                  row);
    }
    const AVPixFmtDescriptor* const about =
        av_pix_fmt_desc_get(static_cast<AVPixelFormat>(format_of_frames_));
    if (pixels_ == OHMGLOW_GREY16 && (about->flags & AV_PIX_FMT_FLAG_BE) != 0) {
      for (std::size_t i = 0; i < row * static_cast<std::size_t>(height_px_); i += 2) {
        std::swap(out[i], out[i + 1]);
      }
    }
  }

  void StoreColour(std::uint8_t* out) {
    if (!scaler_) {
      scaler_.reset(
          sws_getContext(width_px_,
                         height_px_,
                         static_cast<AVPixelFormat>(format_of_frames_),
                         width_px_,
                         height_px_,
                         AV_PIX_FMT_BGR24,
                         SWS_BILINEAR | SWS_ACCURATE_RND | SWS_FULL_CHR_H_INT | SWS_FULL_CHR_H_INP,
                         nullptr,
                         nullptr,
                         nullptr));
      if (!scaler_) Fail("its colours cannot be converted");
    }
    // The scaler writes in wide steps, beyond the end of a row that has no padding.
    if (colour_->data[0] == nullptr) {
      colour_->format = AV_PIX_FMT_BGR24;
      colour_->width = width_px_;
      colour_->height = height_px_;
      if (av_frame_get_buffer(colour_.get(), 0) < 0) Fail("there is no memory for a frame");
    }
    sws_scale(scaler_.get(),
              frame_->data,
              frame_->linesize,
              0,
              height_px_,
              colour_->data,
              colour_->linesize);
    for (int y = 0; y < height_px_; ++y) {
      std::memcpy(out + static_cast<std::size_t>(y) * RowBytes(),
                  colour_->data[0] + static_cast<std::ptrdiff_t>(y) * colour_->linesize[0],
                  RowBytes());
    }
  }

  static constexpr std::int64_t kFar = 60;

  std::unique_ptr<AVFormatContext, FormatCloser> format_;
  std::unique_ptr<AVCodecContext, CodecCloser> codec_;
  std::unique_ptr<AVFrame, FrameFreer> frame_{av_frame_alloc()};
  std::unique_ptr<AVFrame, FrameFreer> colour_{av_frame_alloc()};  // `frame_` as BGR24.
  std::unique_ptr<AVPacket, PacketFreer> packet_{av_packet_alloc()};
  std::unique_ptr<SwsContext, ScalerFreer> scaler_;
  const AVCodec* decoder_ = nullptr;
  AVStream* stream_ = nullptr;
  std::vector<std::int64_t> pts_;
  std::int64_t decoded_ = AV_NOPTS_VALUE;  // Time of `frame_`.
  bool at_end_ = false;
  OhmglowPixels pixels_ = OHMGLOW_BGR8;
  int width_px_ = 0;
  int height_px_ = 0;
  int format_of_frames_ = -1;
};

void Tell(const char* what, char* error, std::size_t size) {
  if (error != nullptr && size > 0) std::snprintf(error, size, "%s", what);
}

void* Open(const char* file, OhmglowVideoInfo* info, char* error, std::size_t size) {
  // The library is this module's alone; it must not write to the terminal.
  av_log_set_level(AV_LOG_QUIET);
  try {
    return new Video(file, *info);
  } catch (const std::exception& what) {
    Tell(what.what(), error, size);
    return nullptr;
  }
}

void Times(void* video, double* time_s) { static_cast<Video*>(video)->Times(time_s); }

int Read(void* video,
         std::int64_t index,
         void* pixels,
         std::size_t num_bytes,
         char* error,
         std::size_t size) {
  try {
    static_cast<Video*>(video)->Read(index, pixels, num_bytes);
    return 1;
  } catch (const std::exception& what) {
    Tell(what.what(), error, size);
    return 0;
  }
}

void Close(void* video) { delete static_cast<Video*>(video); }

constexpr OhmglowVideoApi kApi{OHMGLOW_VIDEO_VERSION, Open, Times, Read, Close};

}  // namespace

extern "C" __attribute__((visibility("default"))) const OhmglowVideoApi* OhmglowVideo() {
  return &kApi;
}
