/* SPDX-FileCopyrightText: The ohmglow authors
 * SPDX-License-Identifier: Apache-2.0 */
#pragma once

/* What the video module offers, in C so that program and module need not be built
 * alike. The module is the only part that needs a video library; the program loads it
 * when a case names a video, so that it starts quickly and runs without it. */

#include <stddef.h>
#include <stdint.h>

#define OHMGLOW_VIDEO_VERSION 2
#define OHMGLOW_VIDEO_ENTRY "OhmglowVideo"

enum OhmglowPixels { OHMGLOW_GREY8 = 0, OHMGLOW_GREY16 = 1, OHMGLOW_BGR8 = 2 };

struct OhmglowVideoInfo {
  int width_px; /* Of the first frame; read() refuses frames of another size. */
  int height_px;
  int64_t count;
  enum OhmglowPixels pixels;
  int64_t lost; /* Frames at the end that cannot be decoded; not part of count. */
};

struct OhmglowVideoApi {
  int version;
  /* NULL on error, which `error` then tells in words (at most `size` bytes, ended by 0). */
  void* (*open)(const char* file, struct OhmglowVideoInfo* info, char* error, size_t size);
  /* `count` times from the first frame on [s]. */
  void (*times)(void* video, double* time_s);
  /* Frame `index` as rows of pixels without gaps, native byte order, into `num_bytes` bytes,
   * which must be those of one frame; 0 on error. */
  int (*read)(void* video, int64_t index, void* pixels, size_t num_bytes, char* error, size_t size);
  void (*close)(void* video);
};
